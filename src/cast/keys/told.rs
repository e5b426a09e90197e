//! The table of keys in words.

use super::{Bounds, FileKind, Key, KeyPlace, Kind, Usual};

impl Kind {
    /// What can stand there, in words.
    #[must_use]
    pub fn told(&self) -> String {
        let within = |[least, most]: Bounds| format!("from {least} to {most}");
        match self {
            Self::Flag => "true or false".to_owned(),
            Self::Number(bounds) => format!("a number {}", within(*bounds)),
            Self::Whole(bounds) => format!("a whole number {}", within(*bounds)),
            Self::Above(most) => format!("a number above 0, at most {most}"),
            Self::Pair(bounds) => format!("two numbers, each {}", within(*bounds)),
            Self::Sides(most) => format!("two numbers, each above 0 and at most {most}"),
            Self::Scale => "a number or two, not 0".to_owned(),
            Self::Words => "a line of text".to_owned(),
            Self::Word(words) => {
                let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
                quoted.join(" or ")
            }
            Self::Text(form) => form.what.to_owned(),
            Self::Texts(form, [least, _]) if *least > 1 => format!("{least} times {}", form.what),
            Self::Texts(form, _) => format!("{}, or a list of such", form.what),
            Self::Date => "a date".to_owned(),
            Self::List(Self::Table(keys), _) => format!("a list of tables with {}", names(keys)),
            Self::List(kind, counts) => {
                let count = match *counts {
                    [least, usize::MAX] => format!("{least} or more"),
                    [least, most] if least == most => least.to_string(),
                    [least, most] => format!("{least} to {most}"),
                };
                format!("a list of {count}: {}", kind.told())
            }
            Self::Table(keys) => format!("a table with {}", names(keys)),
            Self::Any(kinds) => {
                let kinds: Vec<String> = kinds.iter().map(Self::told).collect();
                kinds.join(", or ")
            }
        }
    }
}

fn names(keys: &[Key]) -> String {
    let names: Vec<&str> = keys.iter().map(|key| key.name).collect();
    names.join(", ")
}

impl Usual {
    /// What holds without the key, in words; `None` where that is nothing.
    #[must_use]
    pub fn told(self) -> Option<String> {
        match self {
            Self::Must => Some("none: it must be given".to_owned()),
            Self::Nothing => None,
            Self::As(words) => Some(words.to_owned()),
            Self::Flag(_) | Self::Number(_) | Self::Pair(_) | Self::Word(_) => {
                self.value().map(|value| value.to_string())
            }
        }
    }
}

impl KeyPlace {
    /// The way to it without the names that people choose: `part.pivot`.
    #[must_use]
    pub fn short_path(&self) -> String {
        let all = self.tables.iter().chain([&self.key]);
        let names: Vec<&str> = all
            .filter(|key| !key.is_chosen())
            .map(|key| key.name)
            .collect();
        names.join(".")
    }

    /// True where this is asked for: `part.pivot` or `pivot`, or the whole way to it.
    fn is_called(&self, asked: &str) -> bool {
        let ends = |path: &str| {
            let start = path.strip_suffix(asked);
            start.is_some_and(|start| start.is_empty() || start.ends_with('.'))
        };
        ends(&self.path()) || !self.key.is_chosen() && ends(&self.short_path())
    }
}

/// The places of keys that are called so, with all files in which they stand; of all keys where nothing is asked.
#[must_use]
pub fn find_keys(asked: Option<&str>) -> Vec<(KeyPlace, Vec<FileKind>)> {
    let mut found: Vec<(KeyPlace, Vec<FileKind>)> = Vec::new();
    for place in FileKind::ALL.into_iter().flat_map(FileKind::places) {
        if asked.is_some_and(|asked| !place.is_called(asked)) {
            continue;
        }
        let path = place.path();
        match found.iter_mut().find(|(known, _)| known.path() == path) {
            Some((_, files)) => files.push(place.file),
            None => found.push((place.clone(), vec![place.file])),
        }
    }
    // Whoever gives the whole way to a key means that one.
    if let Some(asked) = asked {
        let whole =
            |(place, _): &(KeyPlace, _)| place.path() == asked || place.short_path() == asked;
        if found.iter().any(whole) {
            found.retain(whole);
        }
    }
    found
}
