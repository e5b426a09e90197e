//! Text cut up and put together, and what of it changed.

use std::ops::Range;

use toml_edit::{Document, Item, Table, Value};

/// Stretches of a text and what they become.
#[derive(Default)]
pub(super) struct Edits(Vec<(Range<usize>, String)>);

impl Edits {
    pub fn put(&mut self, at: Range<usize>, new: impl Into<String>) {
        self.0.push((at, new.into()));
    }

    /// The text with all of them; of those that start at one place the first comes first.
    pub fn done(mut self, text: &str) -> String {
        self.0.sort_by_key(|(at, _)| at.start);
        let mut out = String::with_capacity(text.len());
        let mut from = 0;
        for (at, new) in self.0 {
            out.push_str(&text[from..at.start.max(from)]);
            out.push_str(&new);
            from = from.max(at.end);
        }
        out.push_str(&text[from..]);
        out
    }
}

/// Where the line around a byte starts.
pub(super) fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |at| at + 1)
}

/// Where the line around a byte ends, its line break included.
pub(super) fn line_end(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |to| at + to + 1)
}

/// A table with a header of its own: where its lines start, and where the last of them ends.
pub(super) struct Block<'d> {
    /// The names in its header.
    pub way: Vec<&'d str>,
    pub table: &'d Table,
    pub lines: Range<usize>,
}

/// All tables with headers of their own, in the order of the text.
pub(super) fn blocks<'d>(text: &str, document: &'d Document<String>) -> Vec<Block<'d>> {
    let mut all = Vec::new();
    below(text, document.as_table(), &mut Vec::new(), &mut all);
    all.sort_by_key(|block| block.lines.start);
    all
}

fn below<'d>(text: &str, table: &'d Table, way: &mut Vec<&'d str>, all: &mut Vec<Block<'d>>) {
    for (name, item) in table {
        way.push(name);
        let tables: Vec<&Table> = match item {
            Item::Table(table) => vec![table],
            Item::ArrayOfTables(tables) => tables.iter().collect(),
            _ => Vec::new(),
        };
        for table in tables {
            if let Some(span) = table.span()
                && !table.is_implicit()
                && !table.is_dotted()
            {
                let own = values(table).filter_map(Value::span).map(|span| span.end);
                let last = own.max().unwrap_or(span.start);
                all.push(Block {
                    way: way.clone(),
                    table,
                    lines: line_start(text, span.start)..line_end(text, last),
                });
            }
            below(text, table, way, all);
        }
        way.pop();
    }
}

/// The values that stand under a table's own header.
pub(super) fn values(table: &Table) -> Box<dyn Iterator<Item = &Value> + '_> {
    Box::new(table.iter().flat_map(|(_, item)| match item {
        Item::Value(value) => Box::new(std::iter::once(value)) as Box<dyn Iterator<Item = _>>,
        Item::Table(table) if table.is_dotted() => values(table),
        _ => Box::new(std::iter::empty()),
    }))
}

/// Lines that are taken out, or put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change<'t> {
    /// The number of the line before which it changes, from 1.
    At(usize),
    /// A line of the old text.
    Out(&'t str),
    /// A line of the new text.
    In(&'t str),
}

/// What of a text changed, line by line: the fewest lines out and in.
#[must_use]
pub fn changes<'t>(old: &'t str, new: &'t str) -> Vec<Change<'t>> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    // The longest run of lines that both have, from each place on.
    let mut common = vec![vec![0_usize; new.len() + 1]; old.len() + 1];
    for (i, from) in old.iter().enumerate().rev() {
        for (j, to) in new.iter().enumerate().rev() {
            common[i][j] = if from == to {
                common[i + 1][j + 1] + 1
            } else {
                common[i + 1][j].max(common[i][j + 1])
            };
        }
    }
    let (mut i, mut j, mut told) = (0, 0, None);
    let mut out = Vec::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            (i, j, told) = (i + 1, j + 1, None);
            continue;
        }
        if told.is_none() {
            told = Some(());
            out.push(Change::At(i + 1));
        }
        if j == new.len() || i < old.len() && common[i + 1][j] >= common[i][j + 1] {
            out.push(Change::Out(old[i]));
            i += 1;
        } else {
            out.push(Change::In(new[j]));
            j += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_changes() {
        use Change::{At, In, Out};
        assert_eq!(changes("a\nb\n", "a\nb\n"), []);
        assert_eq!(
            changes("a\nb\nc\nd\n", "a\nx\nc\nd\ne\n"),
            [At(2), Out("b"), In("x"), At(5), In("e")]
        );
    }

    #[test]
    fn edits_leave_the_rest() {
        let mut edits = Edits::default();
        edits.put(4..5, "xy");
        edits.put(0..0, "<");
        assert_eq!(edits.done("abcdef"), "<abcdxyf");
    }
}
