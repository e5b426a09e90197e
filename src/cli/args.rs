//! Arguments as typed. The comments here are the help text.

use std::path::PathBuf;
use std::str::FromStr as _;

use clap::{Args, ValueEnum};
use svgtypes::Color;

use crate::art::Rgb;
use crate::cast::{Leads, leads_to};
use crate::diag::{Problem, Problems};
use crate::draw::MOST_SIDE;
use crate::files::Files;
use crate::project::Reading;

/// Whom, and in what.
#[derive(Clone, Debug, Args)]
pub struct InputArgs {
    /// A member's folder, its rig.toml, a cast file for all its members, or a folder of members
    pub rig: PathBuf,
    /// More of these, and pose lists; without lists, those that the rigs name themselves
    #[arg(value_name = "RIG or LIST")]
    pub more: Vec<PathBuf>,
}

/// Whom, and in what, told apart.
pub struct Input {
    /// Where rigs are.
    pub rigs: Vec<PathBuf>,
    /// Where pose lists are.
    pub lists: Vec<PathBuf>,
}

impl InputArgs {
    /// Tells rigs and pose lists apart, by what the paths lead to.
    pub(super) fn resolved(&self, files: &Files, problems: &mut Problems) -> Input {
        let more = self.more.iter().cloned();
        let (mut rigs, lists): (Vec<_>, Vec<_>) =
            more.partition(|path| leads_to(files, path) != Leads::Elsewhere);
        rigs.insert(0, self.rig.clone());
        let bare = |path: &PathBuf| path.extension().is_none() && files.kind(path).is_err();
        let (strays, lists): (Vec<_>, Vec<_>) = lists.into_iter().partition(bare);
        for stray in strays {
            let problem = Problem::error(stray.as_path(), "there is no such rig or pose list");
            problems.push(
                problem.hint("several values of an option are joined by commas: --pose rest,haul"),
            );
        }
        Input { rigs, lists }
    }
}

impl Input {
    /// How members are read.
    pub(super) fn reading<'a>(&'a self, palette: Option<&'a str>) -> Reading<'a> {
        Reading {
            lists: &self.lists,
            palette,
            hint: Some(
                "give pose lists after the rig, or name them in it: poses = [\"../../poses/actions.toml\"]",
            ),
        }
    }
}

/// What to take of it.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Selection")]
pub struct ChoiceArgs {
    /// Only these poses: names as printed, or their ends (haul, actions/haul); * for anything
    ///
    /// The name of a sweep takes all its steps. A name that finds nothing is an error.
    #[arg(long, value_name = "NAME,...", value_delimiter = ',')]
    pub pose: Vec<String>,
    /// These views, or `all` [default: each member's first]
    #[arg(long, value_name = "NAME,...", value_delimiter = ',')]
    pub view: Vec<String>,
    /// Draw everything in this palette, whatever the poses say
    #[arg(long, value_name = "NAME")]
    pub palette: Option<String>,
}

/// Where files go.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Output")]
pub struct OutputArgs {
    /// Folder for everything that is made
    #[arg(long, short, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
}

/// How to run.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Running")]
pub struct RunningArgs {
    /// Threads to draw with [default: as many as the machine has]
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// How problems and results are told; json is one object a line on standard output
    #[arg(long, global = true, value_name = "FORM", value_enum, default_value_t = MessageForm::Human)]
    pub messages: MessageForm,
    /// Tell only of errors
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// How progress is shown; auto is a bar on a terminal, else a line now and then
    #[arg(long, global = true, value_name = "HOW", value_enum, default_value_t = ProgressForm::Auto)]
    pub progress: ProgressForm,
}

impl RunningArgs {
    /// Threads to use.
    pub(super) fn threads(&self) -> usize {
        let all = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        self.threads.map_or_else(all, usize::from)
    }
}

/// How problems are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum MessageForm {
    /// With the line and a caret
    Human,
    /// One line each
    Short,
    /// One JSON object a line, on standard output
    Json,
}

/// How progress is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ProgressForm {
    /// A bar on a terminal, else lines
    Auto,
    /// A bar
    Bar,
    /// A line now and then
    Lines,
    /// Not at all
    None,
}

/// What is behind a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Background(pub Option<Rgb>);

/// Reads `transparent` or a colour as CSS writes it.
///
/// # Errors
///
/// When it is neither.
pub fn background(text: &str) -> Result<Background, String> {
    if text == "transparent" {
        return Ok(Background(None));
    }
    // A shell takes # for the start of a comment: digits do without it.
    let bare = text.bytes().all(|b| b.is_ascii_hexdigit());
    let read = if bare {
        Color::from_str(&format!("#{text}"))
    } else {
        Color::from_str(text)
    };
    match read {
        Ok(Color {
            red,
            green,
            blue,
            alpha: 255,
        }) => Ok(Background(Some(Rgb([red, green, blue])))),
        _ => Err(
            "write a colour as #rrggbb, #rgb or its CSS name (white, navy), or transparent"
                .to_owned(),
        ),
    }
}

/// Reads `1920x1080`.
///
/// # Errors
///
/// When it is not two whole numbers.
pub fn size(text: &str) -> Result<(u32, u32), String> {
    let wrong = || "write width and height in pixels as 1920x1080".to_owned();
    let (width, height) = text.split_once(['x', 'X', '×']).ok_or_else(wrong)?;
    let side = |text: &str| {
        text.trim()
            .parse::<u32>()
            .ok()
            .filter(|&v| (1..=MOST_SIDE).contains(&v))
    };
    match (side(width), side(height)) {
        (Some(width), Some(height)) => Ok((width, height)),
        _ => Err(wrong()),
    }
}

/// Reads a scale.
///
/// # Errors
///
/// When it is not a number above 0.
pub fn scale(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(scale) if scale.is_finite() && scale > 0.0 => Ok(scale),
        _ => Err("write a number above 0, such as 2 or 0.5".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn backgrounds_are_colours_or_nothing() {
        assert_eq!(background("transparent"), Ok(Background(None)));
        assert_eq!(
            background("#0a1Bff"),
            Ok(Background(Some(Rgb([10, 27, 255]))))
        );
        assert_eq!(background("0a1bff"), background("#0a1bff"));
        // Colours of CSS Color Module Level 4, section 6.1.
        assert_eq!(background("#f0c"), background("#ff00cc"));
        assert_eq!(background("navy"), background("#000080"));
        assert_eq!(background("white"), background("fff"));
        for wrong in [
            "",
            "#12345g",
            "reddish",
            "#1234567",
            "#+1+2+3",
            "éééé",
            "#ff000080",
        ] {
            assert!(background(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn sizes_are_two_whole_numbers() {
        assert_eq!(size("1920x1080"), Ok((1920, 1080)));
        for wrong in ["", "1920", "0x5", "-3x4", "1.5x2", "40000x2", "axb"] {
            assert!(size(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn scales_are_above_nothing() {
        assert_eq!(scale("0.5"), Ok(0.5));
        for wrong in ["0", "-1", "inf", "NaN", "x"] {
            assert!(scale(wrong).is_err(), "{wrong}");
        }
    }
}
