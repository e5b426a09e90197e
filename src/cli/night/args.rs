//! Arguments of `layfig night`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::build::night::{Kind, Shard, Store};
use crate::cli::args::{self, Background};
use crate::cli::render::{FramingArgs, GrowArgs};

/// Arguments of `layfig night`.
#[derive(Clone, Debug, Args)]
pub struct NightArgs {
    /// A cast file; or a member's folder, or its rig.toml
    pub(super) cast: PathBuf,
    /// Only these members; * for anything
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    pub(super) member: Vec<String>,
    /// Only these views
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    pub(super) view: Vec<String>,
    /// Only these poses, and the sheets that show them: names as printed, or their ends
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    pub(super) pose: Vec<String>,
    /// Only these sorts of things
    #[arg(
        long,
        value_name = "WHAT,...",
        value_enum,
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    pub(super) make: Vec<KindForm>,
    /// Take only what this night, or this git revision of the inputs, had otherwise
    ///
    /// A night is named by its label, or by the first digits of its inputs, as the history has them;
    /// this one is then compared with it instead of the last. Any other name is taken for a revision of
    /// the git repository that the cast lies in.
    #[arg(long, value_name = "REVISION", help_heading = "Selection")]
    pub(super) since: Option<String>,
    /// Folder of approved sets, one folder in it for each member [default: `approved` beside each
    /// rig]
    #[arg(long, value_name = "DIR", help_heading = "Comparison")]
    pub(super) approved: Option<PathBuf>,
    #[command(flatten)]
    pub(super) keeping: KeepingArgs,
    /// What to call this night in the history: its date, say
    #[arg(long, value_name = "WORDS", help_heading = "Output")]
    pub(super) label: Option<String>,
    #[command(flatten)]
    pub(super) framing: FramingArgs,
    /// Behind the figure: a colour (#rrggbb, #rgb, white) or transparent
    #[arg(long, value_name = "COLOUR", default_value = "transparent", value_parser = args::background, help_heading = "Picture")]
    pub(super) background: Background,
    #[command(flatten)]
    pub(super) growing: GrowArgs,
    /// Make only one of several shares; end with `layfig merge` when all are made
    #[arg(long, value_name = "I/N", value_parser = shard, help_heading = "Running")]
    pub(super) shard: Option<Shard>,
    /// Make everything again, whatever is there
    #[arg(long, help_heading = "Running")]
    pub(super) again: bool,
    /// Read all files that are there, to see that they are what was written
    #[arg(long, help_heading = "Running")]
    pub(super) verify: bool,
    /// Tell what would be made, and make nothing
    #[arg(long, help_heading = "Running")]
    pub(super) dry_run: bool,
}

/// Where a night's files are.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Output")]
pub struct KeepingArgs {
    /// Folder for everything that is made
    #[arg(long, short, value_name = "DIR", default_value = "out/night")]
    pub out: PathBuf,
    /// Folder for what the next night needs to know [default: .night in the output folder]
    #[arg(long, value_name = "DIR")]
    pub cache: Option<PathBuf>,
}

impl KeepingArgs {
    /// What the next night needs to know.
    pub fn store(&self) -> Store {
        Store::new(
            self.cache
                .clone()
                .unwrap_or_else(|| self.out.join(".night")),
        )
    }
}

/// Sorts of things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum KindForm {
    /// One for each pose
    Pictures,
    /// Of pose lists, of members, of the cast
    Sheets,
    /// Each view's joints through their limits
    Checks,
    /// Each member's poses against its approved set
    Comparisons,
}

impl From<KindForm> for Kind {
    fn from(form: KindForm) -> Self {
        match form {
            KindForm::Pictures => Self::Picture,
            KindForm::Sheets => Self::Sheet,
            KindForm::Checks => Self::Check,
            KindForm::Comparisons => Self::Comparison,
        }
    }
}

/// Reads `2/4`.
fn shard(text: &str) -> Result<Shard, String> {
    let wrong = || "write which of how many, such as 2/4".to_owned();
    let (number, of) = text.split_once('/').ok_or_else(wrong)?;
    let (number, of) = match (number.parse(), of.parse()) {
        (Ok(number), Ok(of)) => (number, of),
        _ => return Err(wrong()),
    };
    if (1..=of).contains(&number) && of <= 10_000 {
        Ok(Shard { number, of })
    } else {
        Err("shards are counted from 1, and there are at most 10000".to_owned())
    }
}
