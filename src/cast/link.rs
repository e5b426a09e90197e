//! Parts by name, and which carries which.

use indexmap::IndexMap;

use super::part::PartDraft;
use super::pivot::{Pivot, PivotDraft};
use super::report::Report;
use super::tree::{Tree, in_words, loops};
use super::{PartId, names};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// The parts of one view, by name.
pub(super) struct Parts<'t> {
    ids: IndexMap<&'t str, PartId>,
    spans: Vec<Span>,
    drawn: Vec<bool>,
    /// Each part's parent; no loops.
    pub parents: Vec<Option<PartId>>,
    tree: Tree,
    /// Where a part is declared to be worn.
    pub worn: Vec<Option<Span>>,
}

impl<'t> Parts<'t> {
    /// Finds each part's parent; unknown ones and loops are reported and cut.
    pub fn link(drafts: &[PartDraft<'t>], report: &mut Report) -> Self {
        let ids: IndexMap<&str, PartId> = drafts
            .iter()
            .enumerate()
            .map(|(at, draft)| (draft.name, PartId::of(at)))
            .collect();
        let mut parts = Self {
            ids,
            spans: drafts.iter().map(|draft| draft.span).collect(),
            drawn: drafts.iter().map(|draft| draft.drawn).collect(),
            parents: Vec::new(),
            tree: Tree::new(&[]),
            worn: vec![None; drafts.len()],
        };
        let mut next: Vec<Option<usize>> = drafts
            .iter()
            .map(|draft| Some(parts.find(draft.parent?.0, draft.parent?.1, report)?.at()))
            .collect();
        for ring in loops(&next) {
            let first = &drafts[ring[0]];
            let span = first.parent.map_or(first.span, |(_, span)| span);
            let message = if ring.len() == 1 {
                format!("part {} is its own parent", quoted(first.name))
            } else {
                let way = in_words(&ring.iter().map(|&at| drafts[at].name));
                format!("the parents form a loop: {way}")
            };
            let hint = "one of them must hang on something else, or on nothing";
            report.push(Problem::error(span, message).hint(hint));
            for at in ring {
                next[at] = None;
            }
        }
        parts.tree = Tree::new(&next);
        parts.parents = next
            .iter()
            .map(|parent| parent.and_then(|at| parts.ids.get_index(at).map(|(_, id)| *id)))
            .collect();
        parts
    }

    /// The part of this name; an unknown one is reported.
    pub fn find(&self, name: &str, span: Span, report: &mut Report) -> Option<PartId> {
        let found = self.ids.get(name).copied();
        if found.is_none() {
            let none = "declare it, with [part.name]";
            let hint = names::hint(name, self.ids.keys().copied(), none, report);
            let problem = Problem::error(span, format!("unknown part {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
        found
    }

    /// Finds the parts whose pivots others are; unknown ones and loops are reported.
    pub fn pivots(
        &self,
        drafts: &[PartDraft<'_>],
        middle: Point,
        report: &mut Report,
    ) -> Vec<Pivot> {
        // Where the parent is unknown, or some of the file is, the pivot may be what is missing there.
        let unsure = |at: usize| {
            report.incomplete() || drafts[at].parent.is_some() && self.parents[at].is_none()
        };
        let unsure: Vec<bool> = (0..drafts.len()).map(unsure).collect();
        let all = drafts
            .iter()
            .zip(unsure)
            .map(|(draft, unsure)| match &draft.pivot {
                PivotDraft::At(point) => Pivot::At(*point),
                PivotDraft::Mark(mark) => Pivot::Mark(mark.clone()),
                PivotDraft::Of(name, span) => self
                    .find(name, *span, report)
                    .map_or(Pivot::At(middle), Pivot::Of),
                PivotDraft::Across { of, axis } => self
                    .named(of)
                    .map_or(Pivot::At(middle), |part| Pivot::Across(part, *axis)),
                PivotDraft::Shared if unsure => Pivot::At(middle),
                PivotDraft::Shared => Pivot::Shared,
                PivotDraft::Middle => Pivot::At(middle),
            });
        let mut all: Vec<Pivot> = all.collect();
        let next: Vec<Option<usize>> = all
            .iter()
            .map(|pivot| match pivot {
                Pivot::Of(part) | Pivot::Across(part, _) => Some(part.at()),
                _ => None,
            })
            .collect();
        for ring in loops(&next) {
            let first = PartId::of(ring[0]);
            let names = ring.iter().map(|&at| self.name(PartId::of(at)));
            let message = format!("the pivots form a loop: {}", in_words(&names));
            let problem = Problem::error(self.span(first), message);
            report.push(problem.hint("give one of them a point, pivot = [x, y]"));
            all[ring[0]] = Pivot::At(middle);
        }
        all
    }

    /// Finds the parts whose pivots are tips; unknown ones are reported.
    pub fn tips(&self, drafts: &[PartDraft<'t>], report: &mut Report) -> Vec<Option<Pivot>> {
        let tip = |draft: &PartDraft<'t>| match draft.tip.as_ref()? {
            PivotDraft::At(point) => Some(Pivot::At(*point)),
            PivotDraft::Mark(mark) => Some(Pivot::Mark(mark.clone())),
            PivotDraft::Of(name, span) => self.find(name, *span, report).map(Pivot::Of),
            PivotDraft::Across { of, axis } => {
                self.named(of).map(|part| Pivot::Across(part, *axis))
            }
            PivotDraft::Shared | PivotDraft::Middle => None,
        };
        drafts.iter().map(tip).collect()
    }

    /// The part of this name, if there is one.
    pub fn named(&self, name: &str) -> Option<PartId> {
        self.ids.get(name).copied()
    }

    /// Its name.
    pub fn name(&self, part: PartId) -> &'t str {
        self.ids.get_index(part.at()).map_or("", |(name, _)| name)
    }

    /// Where it is declared.
    pub fn span(&self, part: PartId) -> Span {
        self.spans[part.at()]
    }

    /// True if `upper` carries `lower`, directly or not.
    pub fn carries(&self, upper: PartId, lower: PartId) -> bool {
        self.tree.carries(upper.at(), lower.at())
    }

    /// Reports a part that is never drawn where only a drawn one makes sense.
    pub fn must_be_drawn(&self, part: PartId, span: Span, role: &str, report: &mut Report) {
        if !self.drawn[part.at()] {
            let message = format!(
                "part {} has no art, so it cannot {role}",
                quoted(self.name(part))
            );
            let problem = Problem::error(span, message)
                .also(self.span(part), "declared here, without art")
                .hint("give it \"art\", or name another part");
            report.push(problem);
        }
    }

    /// Reports a part that is worn where only others make sense.
    pub fn must_not_be_worn(&self, part: PartId, span: Span, role: &str, report: &mut Report) {
        if let Some(worn) = self.worn[part.at()] {
            let name = quoted(self.name(part));
            let message = format!("part {name} is worn, as a garment, so it cannot {role}");
            let problem = Problem::error(span, message)
                .also(worn, "worn here")
                .hint("name the parts that wear it");
            report.push(problem);
        }
    }
}
