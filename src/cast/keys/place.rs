//! Every key with the way to it.

use super::{FileKind, Key, Kind};

/// A key of a file, and where it stands there.
#[derive(Clone, Debug)]
pub struct KeyPlace {
    /// The file.
    pub file: FileKind,
    /// The keys of the tables that it is in, from the outermost.
    pub tables: Vec<&'static Key>,
    /// The key.
    pub key: &'static Key,
}

impl KeyPlace {
    /// The way to it, by dots: `part.<part>.pivot`.
    #[must_use]
    pub fn path(&self) -> String {
        let all = self.tables.iter().chain([&self.key]);
        let names: Vec<&str> = all.map(|key| key.name).collect();
        names.join(".")
    }

    /// True if it is a table that only holds tables with names that people choose.
    #[must_use]
    pub fn only_holds(&self) -> bool {
        let tables = |keys: &[Key]| keys[0].is_chosen() && keys[0].kind.keys().is_some();
        self.key.example.is_empty() && self.key.kind.keys().is_some_and(tables)
    }
}

impl FileKind {
    /// All its keys, each before those of its table.
    #[must_use]
    pub fn places(self) -> Vec<KeyPlace> {
        let mut all = Vec::new();
        below(self, &[], self.keys(), &mut all);
        all
    }
}

fn below(file: FileKind, tables: &[&'static Key], keys: &'static [Key], all: &mut Vec<KeyPlace>) {
    for key in keys {
        all.push(KeyPlace {
            file,
            tables: tables.to_vec(),
            key,
        });
        if let Some(keys) = key.kind.keys() {
            let tables: Vec<&'static Key> = tables.iter().copied().chain([key]).collect();
            below(file, &tables, keys, all);
        }
    }
}

impl Key {
    /// True for a list of tables, `[[lint.allow]]`.
    #[must_use]
    pub fn is_list_of_tables(&self) -> bool {
        matches!(self.kind, Kind::List(Kind::Table(_), _))
    }
}
