//! `from`: poses that inherit.

use std::collections::{HashMap, HashSet};

use indexmap::IndexMap;

use super::pose::PoseDraft;
use super::report::Report;
use super::tree::{in_words, loops};
use super::{CompareSettings, InView, LeftOut, NameId, Pose, PoseEntry, names};
use crate::diag::{Problem, Span, quoted};

/// How much a list may grow when its poses are written out in full, in settings.
const MOST_SETTINGS: usize = 2_000_000;
/// What a pose costs by itself.
const POSE: usize = 8;

/// What is left of what a list may grow to.
pub(super) struct Budget(Option<usize>);

impl Budget {
    pub fn new() -> Self {
        Self(Some(MOST_SETTINGS))
    }

    /// Takes the cost of this many poses of so many settings; the first time that there is not
    /// enough left, reports it.
    pub fn take(&mut self, poses: usize, settings: usize, span: Span, report: &mut Report) -> bool {
        let Some(left) = self.0 else {
            return false;
        };
        let cost = poses.saturating_mul(settings.saturating_add(POSE));
        self.0 = left.checked_sub(cost);
        if self.0.is_none() {
            let problem = Problem::error(span, "this list makes too many poses and settings")
                .hint("split it into several lists");
            report.push(problem);
        }
        self.0.is_some()
    }
}

/// Finds the pose that a `from` names; an unknown one is reported.
fn find(
    from: Option<(&str, Span)>,
    by_name: &IndexMap<&str, usize>,
    report: &mut Report,
) -> Option<usize> {
    let (name, span) = from?;
    let found = by_name.get(name).copied();
    if found.is_none() {
        let known = by_name.keys().copied();
        let hint = names::hint(
            name,
            known,
            "\"from\" names a pose of the same list",
            report,
        );
        report
            .undeclared(Problem::error(span, format!("unknown pose {}", quoted(name))).hint(hint));
    }
    found
}

/// The pose that a sweep or a stress table inherits from, if any; `bad` where it has errors of its own.
pub(super) fn base<'a>(
    from: Option<(&str, Span)>,
    bad: bool,
    poses: &'a [Result<Pose, Bad>],
    by_name: &IndexMap<&str, usize>,
    report: &mut Report,
) -> Result<Option<&'a Pose>, Bad> {
    let base = find(from, by_name, report);
    if bad || from.is_some() && base.is_none() {
        return Err(Bad::Own);
    }
    let base = base.map(|at| poses[at].as_ref()).transpose();
    base.map_err(|_| Bad::base(from))
}

/// Why a pose or a sweep is left out.
#[derive(Clone)]
pub(super) enum Bad {
    /// It has errors itself.
    Own,
    /// The pose of this name, which it inherits from, is left out.
    Base(String),
}

impl Bad {
    /// From what inherits from a pose that is left out.
    pub fn base(from: Option<(&str, Span)>) -> Self {
        from.map_or(Self::Own, |(name, _)| Self::Base(name.to_owned()))
    }

    /// As the list keeps it.
    pub fn left_out(self, name: &str, sweep: bool) -> LeftOut {
        LeftOut {
            name: name.to_owned(),
            sweep,
            base: match self {
                Self::Own => None,
                Self::Base(base) => Some(base),
            },
        }
    }
}

/// Writes all poses out in full, but for those with errors, which `bad` marks, and those that
/// inherit from them. Loops are reported and left out too.
pub(super) fn resolve(
    drafts: Vec<PoseDraft<'_>>,
    mut bad: Vec<bool>,
    by_name: &IndexMap<&str, usize>,
    expressions: &IndexMap<String, Pose>,
    budget: &mut Budget,
    report: &mut Report,
) -> Vec<Result<Pose, Bad>> {
    // Where a pose wears expressions, what it says without them: what inherits it may wear others.
    let mut bare: Vec<Option<Pose>> = vec![None; drafts.len()];
    let mut next: Vec<Option<usize>> = drafts
        .iter()
        .map(|draft| find(draft.from, by_name, report))
        .collect();
    for ((draft, next), bad) in drafts.iter().zip(&next).zip(&mut bad) {
        *bad |= draft.from.is_some() && next.is_none();
    }
    for ring in loops(&next) {
        let first = &drafts[ring[0]];
        let span = first.from.map_or(first.span, |(_, span)| span);
        let message = if ring.len() == 1 {
            format!("pose {} inherits from itself", quoted(first.name))
        } else {
            let way = in_words(&ring.iter().map(|&at| drafts[at].name));
            format!("the poses inherit in a loop: {way}")
        };
        report.push(Problem::error(span, message).hint("leave out one \"from\""));
        for at in ring {
            next[at] = None;
            bad[at] = true;
        }
    }
    let mut drafts: Vec<Option<PoseDraft<'_>>> = drafts.into_iter().map(Some).collect();
    let mut poses: Vec<Result<Pose, Bad>> = vec![Err(Bad::Own); drafts.len()];
    for at in 0..drafts.len() {
        let mut open = vec![at];
        while let Some(&at) = open.last() {
            let base = next[at];
            if let Some(base) = base.filter(|&base| drafts[base].is_some()) {
                open.push(base);
                continue;
            }
            open.pop();
            let Some(draft) = drafts[at].take().filter(|_| !bad[at]) else {
                continue;
            };
            let base = base.map(|base| (&poses[base], &bare[base]));
            let (base, without) = match base {
                None => (None, None),
                Some((Err(_), _)) => {
                    poses[at] = Err(Bad::base(draft.from));
                    continue;
                }
                Some((Ok(base), without)) => (Some(base), without.as_ref()),
            };
            let worn = draft.expressions.iter().flatten();
            let worn: usize = worn.map(|(at, _)| count(&expressions[*at])).sum();
            let settings = base.map_or(0, count) + worn + count(&draft.pose);
            let costs = base.is_some() || worn > 0;
            if costs && !budget.take(1, settings, draft.span, report) {
                continue;
            }
            let rest = Pose::rest();
            let made = match &draft.expressions {
                None => base.map(|base| draft.on(base)),
                Some(worn) => {
                    let mut under = without.or(base).unwrap_or(&rest).clone();
                    for (at, share) in worn {
                        under = under.wearing(&expressions[*at], *share);
                    }
                    under.expressions.clone_from(worn);
                    Some(draft.on(&under))
                }
            };
            let wears = made
                .as_ref()
                .is_some_and(|made| !made.expressions.is_empty());
            let own = |draft: PoseDraft<'_>| match without.or(base) {
                Some(base) => draft.on(base),
                None => draft.pose,
            };
            let (full, plain) = match made {
                Some(made) if wears => (made, Some(own(draft))),
                Some(made) => (made, None),
                None => (draft.pose, None),
            };
            (poses[at], bare[at]) = (Ok(full), plain);
        }
    }
    poses
}

/// How many settings a pose has.
pub(super) fn count(pose: &Pose) -> usize {
    let in_views = pose.views.iter().map(|one| POSE + count(&one.pose));
    pose.entries().count() + in_views.sum::<usize>()
}

impl PoseDraft<'_> {
    fn on(&self, base: &Pose) -> Pose {
        let mut base = base.clone();
        for one in &mut base.views {
            one.palette = one.palette.filter(|_| self.palette.is_none());
            one.mirror = one.mirror.filter(|_| self.mirror.is_none());
        }
        Pose {
            palette: self.palette.unwrap_or(base.palette),
            mirror: self.mirror.unwrap_or(base.mirror),
            expressions: base.expressions.clone(),
            ..inherit(Some(&base), self.pose.clone())
        }
    }
}

impl InView {
    /// The pose as this view sees it.
    pub(super) fn over(&self, pose: &Pose) -> Pose {
        let own = self.pose.clone();
        let CompareSettings {
            colour,
            edge,
            pixels,
            scale,
        } = own.compare;
        let compare = CompareSettings {
            colour: colour.or(pose.compare.colour),
            edge: edge.or(pose.compare.edge),
            pixels: pixels.or(pose.compare.pixels),
            scale: scale.or(pose.compare.scale),
        };
        Pose {
            name: pose.name.clone(),
            span: pose.span,
            note: own.note.clone().or_else(|| pose.note.clone()),
            palette: self.palette.unwrap_or(pose.palette),
            mirror: self.mirror.unwrap_or(pose.mirror),
            compare,
            views: Vec::new(),
            expressions: pose.expressions.clone(),
            ..inherit(Some(pose), own)
        }
    }

    /// What is left of it under what a pose that inherits it says of all views.
    fn under(&self, own: &Pose) -> Self {
        fn left<T>(table: &mut Vec<PoseEntry<T>>, own: &[PoseEntry<T>]) {
            table.retain(|said| own.iter().all(|over| over.part != said.part));
        }
        let mut under = self.clone();
        let pose = &mut under.pose;
        left(&mut pose.turn, &own.turn);
        left(&mut pose.shift, &own.shift);
        left(&mut pose.scale, &own.scale);
        left(&mut pose.skew, &own.skew);
        left(&mut pose.aim, &own.aim);
        left(&mut pose.lean, &own.lean);
        left(&mut pose.stretch, &own.stretch);
        left(&mut pose.depth, &own.depth);
        left(&mut pose.sides, &own.sides);
        left(&mut pose.replace, &own.replace);
        left(&mut pose.plant, &own.plant);
        left(&mut pose.reach, &own.reach);
        pose.look = pose.look.take().filter(|_| own.look.is_none());
        // Neither is inherited.
        pose.note = None;
        pose.compare = CompareSettings::default();
        under
    }
}

/// What single views see otherwise: what is inherited, under what the pose says of all views, then its own.
fn views(base: &Pose, own: &Pose) -> Vec<InView> {
    let mut all: Vec<InView> = base.views.iter().map(|one| one.under(own)).collect();
    for one in &own.views {
        match all.iter_mut().find(|other| other.view == one.view) {
            Some(other) => {
                *other = InView {
                    view: one.view.clone(),
                    pose: inherit(Some(&other.pose), one.pose.clone()),
                    palette: one.palette.or(other.palette),
                    mirror: one.mirror.or(other.mirror),
                }
            }
            None => all.push(one.clone()),
        }
    }
    all
}

/// The pose in full: what it inherits, then what it says itself. Palette and mirror are those of the base.
pub(super) fn inherit(base: Option<&Pose>, own: Pose) -> Pose {
    let Some(base) = base else {
        return own;
    };
    let views = views(base, &own);
    let about: HashSet<NameId> = own.sides.iter().map(|side| side.part).collect();
    let mut sides = base.sides.clone();
    sides.retain(|side| !about.contains(&side.part));
    sides.extend(own.sides);
    Pose {
        turn: merge(&base.turn, own.turn),
        shift: merge(&base.shift, own.shift),
        scale: merge(&base.scale, own.scale),
        skew: merge(&base.skew, own.skew),
        aim: merge(&base.aim, own.aim),
        lean: merge(&base.lean, own.lean),
        stretch: merge(&base.stretch, own.stretch),
        depth: merge(&base.depth, own.depth),
        sides,
        replace: merge(&base.replace, own.replace),
        plant: merge(&base.plant, own.plant),
        reach: merge(&base.reach, own.reach),
        look: own.look.clone().or_else(|| base.look.clone()),
        palette: base.palette,
        mirror: base.mirror,
        views,
        ..own
    }
}

/// The inherited settings of one table, with the pose's own in place of those for the same part.
fn merge<T: Clone>(base: &[PoseEntry<T>], own: Vec<PoseEntry<T>>) -> Vec<PoseEntry<T>> {
    if own.is_empty() {
        return base.to_vec();
    }
    let at: HashMap<NameId, usize> = base
        .iter()
        .enumerate()
        .map(|(at, s)| (s.part, at))
        .collect();
    let mut all = base.to_vec();
    for said in own {
        match at.get(&said.part) {
            Some(&at) => all[at] = said,
            None => all.push(said),
        }
    }
    all
}
