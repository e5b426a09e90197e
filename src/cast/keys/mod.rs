//! One table of all keys that people write: what kind of value each takes, its bounds, what holds without
//! it, an example and a line of explanation. The parser reads a key only through this table
//! ([`Fields`](super::fields::Fields) asks it), hints and the schema are made of it.

mod cast;
mod check;
mod form;
mod goals;
mod kind;
mod place;
mod poses;
mod rig;
mod schema;
mod sheets;
mod told;
mod topics;
mod view;

use crate::geom::Point;

pub use form::Form;
pub use kind::{ANGLES, Bounds, FACTORS, Kind, LENGTHS, SKEWS, STRETCHES, TURNED};
pub use place::KeyPlace;
pub use told::find_keys;
pub use topics::{TOPICS, Topic};

pub(super) use check::MEASURES;
pub(super) use rig::LINT;

/// A key of a table that people write.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// As it is written; `<part>` and the like where people choose the name, or name something.
    pub name: &'static str,
    /// What can stand there.
    pub kind: Kind,
    /// What holds without it.
    pub usual: Usual,
    /// A value in TOML; empty for tables with a header of their own.
    pub example: &'static str,
    /// What it says, in a line.
    pub about: &'static str,
    /// Keys that must stand beside it.
    pub beside: &'static [&'static str],
    /// Keys that must not.
    pub without: &'static [&'static str],
    /// What hints say after the example.
    more: &'static str,
    /// What is hinted for a value of the wrong kind, where that is not the example.
    wrong: &'static str,
}

/// What holds where a key is not given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Usual {
    /// It must be given.
    Must,
    /// Nothing: it says no more than what it says.
    Nothing,
    /// True or false.
    Flag(bool),
    /// This number.
    Number(f64),
    /// These two numbers.
    Pair(Point),
    /// This word.
    Word(&'static str),
    /// What these words say.
    As(&'static str),
}

impl Key {
    const fn new(
        name: &'static str,
        kind: Kind,
        example: &'static str,
        about: &'static str,
    ) -> Self {
        Self {
            name,
            kind,
            usual: Usual::Nothing,
            example,
            about,
            beside: &[],
            without: &[],
            more: "",
            wrong: "",
        }
    }

    /// A table with a header of its own; `wrong` is hinted where something else stands there.
    const fn table(
        name: &'static str,
        keys: &'static [Self],
        wrong: &'static str,
        about: &'static str,
    ) -> Self {
        Self::new(name, Kind::Table(keys), "", about).wrong(wrong)
    }

    const fn usual(mut self, usual: Usual) -> Self {
        self.usual = usual;
        self
    }

    const fn must(self) -> Self {
        self.usual(Usual::Must)
    }

    const fn beside(mut self, keys: &'static [&'static str]) -> Self {
        self.beside = keys;
        self
    }

    const fn without(mut self, keys: &'static [&'static str]) -> Self {
        self.without = keys;
        self
    }

    const fn more(mut self, more: &'static str) -> Self {
        self.more = more;
        self
    }

    const fn wrong(mut self, wrong: &'static str) -> Self {
        self.wrong = wrong;
        self
    }

    /// What to write; `name` is the key's own, or what people chose for it.
    pub(super) fn write(&self, name: &str) -> String {
        format!("write {name} = {}{}", self.example, self.more)
    }

    /// What is hinted for a value of the wrong kind.
    pub(super) fn hint(&self, name: &str) -> String {
        match self.wrong {
            "" if matches!(self.kind, Kind::Whole(_)) && self.more.is_empty() => {
                format!("write a whole number, {name} = {}", self.example)
            }
            "" => self.write(name),
            wrong => wrong.to_owned(),
        }
    }

    /// The number that holds without it.
    pub(super) fn number(&self) -> f64 {
        match self.usual {
            Usual::Number(number) => number,
            _ => panic!("{} has no usual number", self.name),
        }
    }

    /// The place of the word that holds without it.
    pub(super) fn place_of_usual(&self) -> usize {
        let mut words = self.kind.words().iter();
        let at = words.position(|&word| Usual::Word(word) == self.usual);
        at.unwrap_or_else(|| panic!("{} has no usual word", self.name))
    }

    /// True where people choose the name.
    #[must_use]
    pub fn is_chosen(&self) -> bool {
        self.name.starts_with('<')
    }
}

/// All of one, then all of the other.
const fn joined<const N: usize>(first: &[Key], then: &[Key]) -> [Key; N] {
    assert!(N == first.len() + then.len());
    let mut all = [first[0]; N];
    let mut at = 0;
    while at < N {
        all[at] = if at < first.len() {
            first[at]
        } else {
            then[at - first.len()]
        };
        at += 1;
    }
    all
}

/// The files that people write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// `rig.toml`.
    Rig,
    /// The file of a view, where a member has several.
    View,
    /// A pose list.
    Poses,
    /// A cast file.
    Cast,
}

impl FileKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Rig, Self::View, Self::Poses, Self::Cast];

    /// What arguments call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rig => "rig",
            Self::View => "view",
            Self::Poses => "poses",
            Self::Cast => "cast",
        }
    }

    /// What it is, in a line.
    #[must_use]
    pub const fn about(self) -> &'static str {
        match self {
            Self::Rig => "rig.toml: a member of the cast",
            Self::View => "the file of a view that rig.toml names under [views]",
            Self::Poses => "a pose list",
            Self::Cast => "a cast file: the members of a show",
        }
    }

    /// Its keys.
    #[must_use]
    pub const fn keys(self) -> &'static [Key] {
        match self {
            Self::Rig => rig::RIG,
            Self::View => view::FILE,
            Self::Poses => poses::POSES,
            Self::Cast => cast::CAST,
        }
    }
}
