//! The mistakes of one file, gathered.

use std::collections::HashSet;
use std::ops::Range;

use super::field::Field;
use super::recover::{Owners, like_header};
use crate::diag::{Place, Problem, Problems, Severity, SourceId, Span};

/// More errors, or more warnings, than this in one file are counted, not shown.
const MOST: usize = 1000;

/// The problems of one file, to be handed on in the order of the file.
pub(super) struct Report {
    /// The file, then those that it is like: where the text of each starts, were they all one.
    texts: Vec<(usize, SourceId)>,
    found: Vec<Problem>,
    /// How many of them are errors, and warnings.
    kept: [usize; 2],
    more: usize,
    errors: usize,
    /// Parts of the text that could not be read, as byte ranges in order and apart.
    broken: Vec<[u32; 2]>,
    /// The tables that these parts belong to, by their first two keys.
    hurt: HashSet<[String; 2]>,
    /// Where a key is given again, in order.
    again: Vec<u32>,
    headers_lost: bool,
}

impl Report {
    pub fn new(source: SourceId) -> Self {
        Self::of_all(vec![(0, source)])
    }

    /// Of a file that is like others, whose texts start at these places.
    pub fn of_all(texts: Vec<(usize, SourceId)>) -> Self {
        Self {
            texts,
            found: Vec::new(),
            kept: [0; 2],
            more: 0,
            errors: 0,
            broken: Vec::new(),
            hurt: HashSet::new(),
            again: Vec::new(),
            headers_lost: false,
        }
    }

    /// A stretch of this file.
    pub fn span(&self, range: Range<usize>) -> Span {
        let after = self
            .texts
            .partition_point(|&(start, _)| start <= range.start);
        let (start, source) = self.texts[after - 1];
        Span::of(source, range.start - start..range.end - start)
    }

    /// True for a file that is like another: its tables are in order already.
    pub fn is_like_another(&self) -> bool {
        self.texts.len() > 1
    }

    /// Notes that these stretches of the text cannot be read: what else is said about them, and
    /// about things that are missing from the file, would only be noise.
    pub fn add_broken(&mut self, text: &str, stretches: impl IntoIterator<Item = Range<usize>>) {
        let mut owners = Owners::new(text);
        for stretch in stretches {
            self.hurt
                .insert(owners.find(stretch.start).map(str::to_owned));
            self.headers_lost |= text[stretch.clone()].lines().any(like_header);
            let span = self.span(stretch);
            self.broken.push([span.start, span.end]);
        }
        self.broken.sort_unstable();
        self.broken.dedup_by(|next, last| {
            let overlap = next[0] <= last[1];
            if overlap {
                last[1] = last[1].max(next[1]);
            }
            overlap
        });
    }

    /// Notes that keys are given again at these places, by the start of the line and of the key.
    pub fn add_again(&mut self, text: &str, places: impl IntoIterator<Item = [usize; 2]>) {
        let mut owners = Owners::new(text);
        let mut last = None;
        for [line, at] in places {
            if last.replace(line) != Some(line) {
                self.hurt.insert(owners.find(line).map(str::to_owned));
            }
            self.again.push(self.span(at..at).start);
        }
        self.again.sort_unstable();
    }

    /// True if some of this entry of `[key]` could not be read, or is given twice.
    pub fn is_hurt(&self, key: &str, entry: &Field<'_>) -> bool {
        // What is made of keys elsewhere may have lost a header of its own.
        let headless = entry.span == entry.name_span;
        let next = self.again.partition_point(|&at| at < entry.span.start);
        self.headers_lost && headless
            || self.again.get(next).is_some_and(|&at| at < entry.span.end)
            || !self.hurt.is_empty() && self.hurt.contains(&[key, entry.name].map(str::to_owned))
    }

    /// True when further errors are only counted, so that hints for them need not be worked out.
    pub fn is_full(&self) -> bool {
        self.kept[Severity::Error as usize] >= MOST
    }

    /// True when some of the text cannot be read.
    pub fn incomplete(&self) -> bool {
        !self.broken.is_empty()
    }

    /// How many errors were found.
    pub fn errors(&self) -> usize {
        self.errors
    }

    /// True if this could not be read, so that its value means nothing.
    pub fn is_broken(&self, span: Span) -> bool {
        // Values that the parser had to make up have no place.
        let made_up = span.start == 0 && span.end == 0;
        let after = self.broken.partition_point(|b| b[0] <= span.start);
        let inside = after > 0 && span.start <= self.broken[after - 1][1];
        inside || made_up && self.incomplete()
    }

    /// Adds a problem.
    pub fn push(&mut self, problem: Problem) {
        self.errors += usize::from(problem.severity == Severity::Error);
        if let Place::Span(span) = problem.place
            && self.is_broken(span)
        {
            return;
        }
        let kept = &mut self.kept[problem.severity as usize];
        if *kept >= MOST {
            self.more += 1;
        } else {
            *kept += 1;
            self.found.push(problem);
        }
    }

    /// Adds a problem with something that is missing from the file, unless some of the file could
    /// not be read: it may well stand there.
    pub fn missing(&mut self, problem: Problem) {
        if !self.incomplete() {
            self.push(problem);
        }
    }

    /// Adds a problem with a name that is declared nowhere, unless some of the file's headers could
    /// not be read: one of them may well declare it.
    pub fn undeclared(&mut self, problem: Problem) {
        if !self.headers_lost {
            self.push(problem);
        }
    }

    /// Hands the problems on, in the order of the file.
    pub fn finish(mut self, problems: &mut Problems) {
        let start = self.span(0..0);
        self.found.sort_by_key(|problem| match &problem.place {
            Place::Span(span) => (span.source != self.texts[0].1, *span),
            _ => (false, start),
        });
        if self.is_like_another() {
            // The file that it is like told of its own already.
            self.found.retain(|found| !problems.list().contains(found));
        }
        let last = match self.more {
            0 => None,
            1 => Some("1 more problem in this file is not shown".to_owned()),
            n => Some(format!("{n} more problems in this file are not shown")),
        };
        problems.extend(self.found);
        problems.extend(last.map(|last| {
            if self.errors > 0 {
                Problem::error(start, last)
            } else {
                Problem::warning(start, last)
            }
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn report() -> Report {
        Report::new(SourceId(0))
    }

    fn messages(report: Report) -> Vec<String> {
        let mut problems = Problems::default();
        report.finish(&mut problems);
        problems.list().iter().map(|p| p.message.clone()).collect()
    }

    #[test]
    fn problems_come_in_the_order_of_the_file() {
        let mut report = report();
        for at in [30, 10, 20] {
            let span = report.span(at..at + 1);
            report.push(Problem::error(span, at.to_string()));
        }
        assert_eq!(messages(report), ["10", "20", "30"]);
    }

    #[test]
    fn what_is_said_of_broken_lines_is_dropped() {
        let mut report = report();
        let text = "0123456789".repeat(10);
        report.add_broken(&text, [20..30, 10..60, 15..18]);
        for at in [5, 10, 25, 59, 61] {
            let span = report.span(at..at + 1);
            report.push(Problem::error(span, at.to_string()));
        }
        let span = report.span(0..0);
        report.push(Problem::error(span, "made up"));
        let span = report.span(70..71);
        report.missing(Problem::error(span, "missing"));
        let span = report.span(80..81);
        report.undeclared(Problem::error(span, "undeclared"));
        assert!(report.incomplete());
        assert_eq!(report.errors(), 7);
        assert_eq!(messages(report), ["5", "61", "undeclared"]);
    }

    #[test]
    fn a_lost_header_may_have_declared_anything() {
        let mut report = report();
        report.add_broken("a = 1\n  [part.x\n", std::iter::once(6..15));
        let span = report.span(2..3);
        report.undeclared(Problem::error(span, "undeclared"));
        assert_eq!(messages(report), [""; 0]);
    }

    #[test]
    fn a_file_without_mistakes_has_no_problems() {
        assert_eq!(messages(report()), [""; 0]);
        assert!(!report().incomplete());
    }

    #[test]
    fn warnings_do_not_crowd_out_errors() {
        let mut report = report();
        for at in 0..MOST + 5 {
            let span = report.span(at..at + 1);
            report.push(Problem::warning(span, "warning"));
        }
        assert!(!report.is_full());
        let span = report.span(3..4);
        report.push(Problem::error(span, "error"));
        let found = messages(report);
        assert_eq!(found.len(), MOST + 2);
        assert!(found.iter().any(|message| message == "error"));
        assert_eq!(
            found[MOST + 1],
            "5 more problems in this file are not shown"
        );
    }
}
