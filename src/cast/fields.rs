//! A table of a file, taken apart key by key as the table of keys says.

use toml::de::{DeTable, DeValue};

use super::field::Field;
use super::keys::{FileKind, Key, Usual};
use super::report::Report;
use super::value::{flag, number, pair, text, whole, words};
use crate::diag::{Problem, Span, nearest, quoted};
use crate::geom::Point;

/// The entries of a table in the order of the file; those that the table of keys has not are mistakes.
pub(super) struct Fields<'t> {
    /// What the table is called in messages: `[part.hand]`, `place`.
    pub what: String,
    /// What it is called where it lacks something: `part "hand"`.
    pub called: String,
    /// Where the table is declared.
    pub span: Span,
    all: Vec<Field<'t>>,
    keys: &'static [Key],
    read: Vec<bool>,
}

impl<'t> Fields<'t> {
    /// The entries of a table with these keys.
    pub fn open(
        what: impl Into<String>,
        span: Span,
        table: &'t DeTable<'t>,
        keys: &'static [Key],
        report: &Report,
    ) -> Self {
        let mut all: Vec<Field<'t>> = table
            .iter()
            .map(|(key, value)| {
                let span = report.span(value.span());
                Field {
                    name: key.get_ref(),
                    name_span: report.span(key.span()),
                    value: value.get_ref(),
                    span,
                    from: value.span().start - span.start as usize,
                    key: &keys[0],
                }
            })
            .collect();
        if !report.is_like_another() {
            all.sort_by_key(|field| field.name_span.start);
        }
        let what = what.into();
        Self {
            called: what.clone(),
            what,
            span,
            all,
            keys,
            read: vec![false; keys.len()],
        }
    }

    /// None.
    pub fn none(what: impl Into<String>, span: Span, keys: &'static [Key]) -> Self {
        let what = what.into();
        Self {
            called: what.clone(),
            what,
            span,
            all: Vec::new(),
            keys,
            read: vec![false; keys.len()],
        }
    }

    /// The entries of a whole file.
    pub fn of_file(kind: FileKind, table: &'t DeTable<'t>, report: &Report) -> Self {
        let start = report.span(0..0);
        Self::open("this file", start, table, kind.keys(), report)
    }

    /// A key as the table of keys has it: whoever asks for another has forgotten to put it there.
    pub fn key(&self, name: &str) -> &'static Key {
        &self.keys[self.place(name)]
    }

    fn place(&self, name: &str) -> usize {
        let at = self.keys.iter().position(|key| key.name == name);
        at.unwrap_or_else(|| panic!("{name} is not among the keys of {}", self.what))
    }

    /// The entry with this key.
    pub fn take(&mut self, name: &str) -> Option<Field<'t>> {
        let at = self.place(name);
        self.read[at] = true;
        let field = self.all.iter().find(|field| field.name == name)?;
        let key = &self.keys[at];
        Some(Field { key, ..*field })
    }

    /// The entry with this key; without one, that is reported.
    pub fn need(&mut self, name: &str, report: &mut Report) -> Option<Field<'t>> {
        let found = self.take(name);
        if found.is_none() {
            self.must(name, report);
        }
        found
    }

    /// Reports a key that is not there, or is an empty table.
    pub fn must(&self, name: &str, report: &mut Report) {
        let key = self.key(name);
        debug_assert_eq!(key.usual, Usual::Must, "{name} of {}", self.what);
        if self.lacks(name) {
            let message = format!("{} has no {}", self.called, quoted(name));
            report.missing(Problem::error(self.span, message).hint(key.write(name)));
        }
    }

    /// All entries, where people choose the keys.
    pub fn all(&self) -> impl Iterator<Item = Field<'t>> + use<'t> {
        debug_assert!(self.keys[0].is_chosen(), "{}", self.what);
        self.all.clone().into_iter()
    }

    /// True if this key is not there, or is an empty table.
    pub fn lacks(&self, key: &str) -> bool {
        let field = self.all.iter().find(|field| field.name == key);
        field.is_none_or(|field| matches!(field.value, DeValue::Table(inner) if inner.is_empty()))
    }

    /// True if this key is there.
    pub fn has(&self, key: &str) -> bool {
        self.all.iter().any(|field| field.name == key)
    }

    /// True if there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// Reports entries that the table of keys has not. `elsewhere` says of a key that is unknown here where
    /// it belongs.
    pub fn finish_with(self, report: &mut Report, elsewhere: impl Fn(&str) -> Option<String>) {
        // A key that nobody reads would pass in silence.
        for (key, read) in self.keys.iter().zip(&self.read) {
            debug_assert!(read, "nobody reads {} of {}", key.name, self.what);
        }
        let known = self.keys.iter().map(|key| key.name);
        for field in self.all {
            if known.clone().any(|key| key == field.name) {
                continue;
            }
            let name = quoted(field.name);
            let hint = elsewhere(field.name)
                .or_else(|| {
                    let near = nearest(field.name, known.clone())?;
                    Some(format!("did you mean {}?", quoted(near)))
                })
                .unwrap_or_else(|| {
                    let known: Vec<&str> = known.clone().collect();
                    format!("known here: {}", known.join(", "))
                });
            let message = format!("unknown key {name} in {}", self.what);
            report.push(Problem::error(field.name_span, message).hint(hint));
        }
    }

    /// Reports entries that the table of keys has not.
    pub fn finish(self, report: &mut Report) {
        self.finish_with(report, |_| None);
    }

    fn told<T>(
        &mut self,
        name: &str,
        report: &mut Report,
        read: impl FnOnce(&Field<'t>, &str, &mut Report) -> Option<T>,
    ) -> Option<T> {
        let field = self.take(name)?;
        read(&field, &quoted(name), report)
    }

    /// A number.
    pub fn number(&mut self, name: &str, report: &mut Report) -> Option<f64> {
        self.told(name, report, number)
    }

    /// A number, or the usual one.
    pub fn number_or(&mut self, name: &str, report: &mut Report) -> f64 {
        let found = self.number(name, report);
        found.unwrap_or_else(|| self.key(name).number())
    }

    /// A whole number.
    pub fn whole(&mut self, name: &str, report: &mut Report) -> Option<f64> {
        self.told(name, report, whole)
    }

    /// Two numbers.
    pub fn pair(&mut self, name: &str, report: &mut Report) -> Option<Point> {
        self.told(name, report, pair)
    }

    /// True or false.
    pub fn flag(&mut self, name: &str, report: &mut Report) -> Option<bool> {
        self.told(name, report, flag)
    }

    /// A text for people.
    pub fn words(&mut self, name: &str, report: &mut Report) -> Option<String> {
        self.told(name, report, words)
    }

    /// A text, and where it is.
    pub fn text(&mut self, name: &str, report: &mut Report) -> Option<(&'t str, Span)> {
        self.told(name, report, |field, what, report| {
            Some((text(field, what, report)?, field.span))
        })
    }

    /// What one of the key's words stands for; `meant` are all, in the order of the words.
    pub fn one_of<T: Copy, const N: usize>(
        &mut self,
        name: &str,
        meant: [T; N],
        report: &mut Report,
    ) -> Option<T> {
        let field = self.take(name)?;
        let words = field.key.kind.words();
        debug_assert_eq!(words.len(), N, "{name} of {}", self.what);
        let word = text(&field, &quoted(name), report)?;
        let found = words.iter().position(|known| *known == word);
        if found.is_none() {
            let message = format!("{} cannot be {}", quoted(name), quoted(word));
            report.push(Problem::error(field.span, message).hint(field.hint()));
        }
        found.map(|at| meant[at])
    }

    /// The same, or what the usual word stands for.
    pub fn one_of_or<T: Copy, const N: usize>(
        &mut self,
        name: &str,
        meant: [T; N],
        report: &mut Report,
    ) -> T {
        let usual = self.key(name).place_of_usual();
        self.one_of(name, meant, report).unwrap_or(meant[usual])
    }
}
