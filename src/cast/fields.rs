//! A table of a file, taken apart key by key.

use toml::de::{DeTable, DeValue};

use super::field::Field;
use super::report::Report;
use crate::diag::{Problem, Span, nearest, quoted};

/// The entries of a table in the order of the file; those that nobody takes are mistakes.
pub(super) struct Fields<'t> {
    /// What the table is called in messages: `[part.hand]`, `place`.
    pub what: String,
    /// Where the table is declared.
    pub span: Span,
    all: Vec<Field<'t>>,
    taken: Vec<bool>,
    known: Vec<&'static str>,
}

impl<'t> Fields<'t> {
    /// The entries of a table.
    pub fn open(
        what: impl Into<String>,
        span: Span,
        table: &'t DeTable<'t>,
        report: &Report,
    ) -> Self {
        let mut all: Vec<Field<'t>> = table
            .iter()
            .map(|(key, value)| Field {
                name: key.get_ref(),
                name_span: report.span(key.span()),
                value: value.get_ref(),
                span: report.span(value.span()),
            })
            .collect();
        all.sort_by_key(|field| field.name_span.start);
        Self {
            what: what.into(),
            span,
            taken: vec![false; all.len()],
            all,
            known: Vec::new(),
        }
    }

    /// The entry with this key, which from now on is a known one.
    pub fn take(&mut self, key: &'static str) -> Option<Field<'t>> {
        self.known.push(key);
        let at = self.all.iter().position(|field| field.name == key)?;
        self.taken[at] = true;
        Some(self.all[at])
    }

    /// All entries: for tables whose keys are the user's own names.
    pub fn all(&self) -> impl Iterator<Item = Field<'t>> + use<'t> {
        self.all.clone().into_iter()
    }

    /// True if this key is not there, or is an empty table.
    pub fn lacks(&self, key: &str) -> bool {
        let field = self.all.iter().find(|field| field.name == key);
        field.is_none_or(|field| matches!(field.value, DeValue::Table(inner) if inner.is_empty()))
    }

    /// True if there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// Reports the entries that nobody took. `elsewhere` says of a key that is unknown here where
    /// it belongs.
    pub fn finish_with(self, report: &mut Report, elsewhere: impl Fn(&str) -> Option<String>) {
        for (field, _) in self
            .all
            .iter()
            .zip(&self.taken)
            .filter(|(_, taken)| !**taken)
        {
            let name = quoted(field.name);
            let hint = elsewhere(field.name)
                .or_else(|| {
                    let near = nearest(field.name, self.known.iter().copied())?;
                    Some(format!("did you mean {}?", quoted(near)))
                })
                .unwrap_or_else(|| format!("known here: {}", self.known.join(", ")));
            let message = format!("unknown key {name} in {}", self.what);
            report.push(Problem::error(field.name_span, message).hint(hint));
        }
    }

    /// Reports the entries that nobody took.
    pub fn finish(self, report: &mut Report) {
        self.finish_with(report, |_| None);
    }
}
