//! Units of work and what comes of them.

use serde::{Deserialize, Serialize};

use super::digest::{Digest, Stamp};
use crate::name::Name;

/// What a unit of work makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// One pose as a picture.
    Picture,
    /// Labelled pages.
    Sheet,
    /// The joints of a view through their limits.
    Check,
    /// A member's poses against its approved set.
    Comparison,
    /// The review page of all comparisons; made when all else is.
    Review,
}

impl Kind {
    /// All, in the order they are told of.
    pub const ALL: [Self; 5] = [
        Self::Picture,
        Self::Sheet,
        Self::Check,
        Self::Comparison,
        Self::Review,
    ];

    /// What it is called.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Picture => "picture",
            Self::Sheet => "sheet",
            Self::Check => "check",
            Self::Comparison => "comparison",
            Self::Review => "review",
        }
    }
}

/// What tells a unit from all others.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(from = "KeyLine", into = "KeyLine")]
pub struct Key {
    /// Of which kind.
    pub kind: Kind,
    /// What it is of.
    pub of: Name,
    /// Which of the sheets of that.
    pub sheet: Option<String>,
}

/// A key in a document.
#[derive(Serialize, Deserialize)]
struct KeyLine {
    kind: Kind,
    /// For people; not read.
    #[serde(skip_deserializing)]
    name: String,
    #[serde(default)]
    of: Name,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sheet: Option<String>,
}

impl From<KeyLine> for Key {
    fn from(line: KeyLine) -> Self {
        Self {
            kind: line.kind,
            of: line.of,
            sheet: line.sheet,
        }
    }
}

impl From<Key> for KeyLine {
    fn from(key: Key) -> Self {
        Self {
            kind: key.kind,
            name: key.name(),
            of: key.of,
            sheet: key.sheet,
        }
    }
}

impl Key {
    /// Of the review page.
    #[must_use]
    pub fn review() -> Self {
        Self {
            kind: Kind::Review,
            of: Name::default(),
            sheet: Some("page".to_owned()),
        }
    }

    /// For people: `member/view/list/pose`, of a sheet with what it is called behind it.
    #[must_use]
    pub fn name(&self) -> String {
        self.without(self.of.to_string())
    }

    /// The same without the member.
    #[must_use]
    pub fn own_name(&self) -> String {
        self.without(self.of.key())
    }

    fn without(&self, name: String) -> String {
        match &self.sheet {
            None => name,
            Some(sheet) if name.is_empty() => sheet.clone(),
            Some(sheet) => format!("{name} {sheet}"),
        }
    }
}

impl std::fmt::Display for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.kind.word(), self.name())
    }
}

/// A file that was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Made {
    /// Below the output folder, steps parted by `/`.
    pub path: String,
    /// Its length.
    pub bytes: u64,
    /// Of its bytes.
    pub digest: Digest,
}

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// A person must look.
    Error,
    /// A person may want to look.
    Warning,
}

impl Level {
    /// `error` or `warning`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
        }
    }
}

/// Something that a person should know of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NightFinding {
    /// How grave.
    pub level: Level,
    /// In one line.
    pub text: String,
}

/// What a unit made of its inputs. The same inputs give the same record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// Which unit.
    #[serde(flatten)]
    pub key: Key,
    /// Of the inputs.
    pub inputs: Digest,
    /// What was made.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub files: Vec<Made>,
    /// What was found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<NightFinding>,
    /// Why nothing can be made of these inputs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

impl Record {
    /// Of all that came out: equal for two records if nobody could tell them apart.
    #[must_use]
    pub fn outcome(&self) -> Digest {
        let mut stamp = Stamp::new("outcome");
        stamp.count(self.files.len());
        for Made {
            path,
            bytes: _,
            digest,
        } in &self.files
        {
            stamp.text(path);
            stamp.digest(digest);
        }
        stamp.count(self.findings.len());
        for NightFinding { level, text } in &self.findings {
            stamp.text(level.word());
            stamp.text(text);
        }
        stamp.maybe(self.refused.as_ref(), |stamp, why| stamp.text(why));
        stamp.done()
    }
}
