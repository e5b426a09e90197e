//! `[stress.<name>]`: random poses within the limits, the same on every machine.

use indexmap::{IndexMap, IndexSet};
use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng as _, SeedableRng as _};

use super::field::Field;
use super::fields::Fields;
use super::inherit::{Bad, Budget, base, count, inherit};
use super::pose::{Known, offsets, sides};
use super::reach::solved_for;
use super::report::Report;
use super::tables::tables_of;
use super::value::texts;
use super::{CompareSettings, NameId, Pose, PoseEntry, Side, names};
use crate::diag::{Problem, Span, quoted};

/// The share of turns that go to either end of the limits, where joints fail first.
const ENDS: f64 = 0.125;
/// Turns are rounded to this many steps a degree.
const STEPS: f64 = 10.0;

/// A change of depths that poses take.
#[derive(Debug)]
struct Change {
    depth: Vec<PoseEntry<f64>>,
    sides: Vec<PoseEntry<(Side, NameId)>>,
}

/// A stress table as it is written.
#[derive(Debug)]
pub(super) struct StressDraft<'t> {
    /// Its name.
    pub name: &'t str,
    span: Span,
    from: Option<(&'t str, Span)>,
    note: Option<String>,
    seed: u64,
    count: usize,
    joints: Vec<(NameId, [f64; 2])>,
    /// It says which.
    named: bool,
    changes: Vec<Change>,
    /// It has errors.
    pub bad: bool,
}

impl StressDraft<'_> {
    /// What its poses are called.
    pub fn poses(&self) -> impl Iterator<Item = String> {
        let digits = self.count.to_string().len();
        (1..=self.count).map(move |nth| format!("{}@{nth:0digits$}", self.name))
    }
}

/// Reads what one table says.
pub(super) fn stress<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    known: &Known<'_>,
    report: &mut Report,
) -> StressDraft<'t> {
    names::check(declared.name, "stress", declared.name_span, report);
    let from = fields.text("from", report);
    let note = fields.words("note", report);
    let seed = fields.whole("seed", report);
    let seed = seed.unwrap_or_else(|| fields.key("seed").number());
    let number = fields.whole("count", report);
    fields.must("count", report);
    let turn = fields.take("turn");
    let joints = match &turn {
        Some(value) => named(value, known, report),
        None => all(declared, known, report),
    };
    let changes = fields
        .take("changes")
        .map(|value| changes(&value, known, report));
    fields.finish(report);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers within bounds"
    )]
    StressDraft {
        name: declared.name,
        span: declared.name_span,
        from,
        note,
        seed: seed as u64,
        count: number.unwrap_or(1.0) as usize,
        joints,
        named: turn.is_some(),
        changes: changes.unwrap_or_default(),
        bad: false,
    }
}

/// The turns that every view's limits of a joint allow; `None` for a joint without limits, or one whose
/// views agree on nothing.
fn limits(known: &Known<'_>, part: NameId) -> Option<[f64; 2]> {
    known
        .all(part)
        .filter_map(|(_, part)| part.limits)
        .reduce(|a, b| [a[0].max(b[0]), a[1].min(b[1])])
        .filter(|[least, most]| least <= most)
}

/// The joints that `turn` names.
fn named(value: &Field<'_>, known: &Known<'_>, report: &mut Report) -> Vec<(NameId, [f64; 2])> {
    let mut found: IndexMap<NameId, [f64; 2]> = IndexMap::new();
    let listed = texts(value, "\"turn\"", report);
    if listed.as_ref().is_some_and(Vec::is_empty) {
        let problem = Problem::error(value.span, "\"turn\" names no part");
        report.push(problem.hint(value.hint()));
    }
    for (name, span) in listed.unwrap_or_default() {
        let Some(part) = known.part(name, span, report) else {
            continue;
        };
        let Some(limits) = limits(known, part) else {
            let message = format!("{} has no limits to stay within", quoted(name));
            let hint = "write limits = [-60, 170] in the rig, or leave it out here";
            report.push(Problem::error(span, message).hint(hint));
            continue;
        };
        if found.insert(part, limits).is_some() {
            let message = format!("part {} is named twice", quoted(name));
            report.push(Problem::error(span, message).hint("name each joint once"));
        }
    }
    found.into_iter().collect()
}

/// All joints that have limits.
fn all(declared: &Field<'_>, known: &Known<'_>, report: &mut Report) -> Vec<(NameId, [f64; 2])> {
    let parts: IndexSet<NameId> = known
        .member
        .views
        .iter()
        .flat_map(|view| view.parts.iter().map(|part| part.name))
        .collect();
    let joints: Vec<_> = parts
        .into_iter()
        .filter_map(|part| Some((part, limits(known, part)?)))
        .collect();
    if joints.is_empty() {
        let message = format!("stress {} has no joint to turn", quoted(declared.name));
        let problem = Problem::error(declared.name_span, message)
            .hint("give parts of the rig limits = [-60, 170]");
        report.push(problem);
    }
    joints
}

fn changes(value: &Field<'_>, known: &Known<'_>, report: &mut Report) -> Vec<Change> {
    let mut all = Vec::new();
    for mut fields in tables_of(value, "an entry of \"changes\"", "a list", report) {
        if fields.is_empty() {
            let problem = Problem::error(fields.span, "this entry of \"changes\" changes nothing");
            report.push(problem.hint(value.hint()));
        }
        all.push(Change {
            depth: offsets(&mut fields, known, report),
            sides: sides(&mut fields, known, report),
        });
        fields.finish(report);
    }
    all
}

/// Makes the poses, from the poses of their list.
pub(super) fn resolve(
    mut draft: StressDraft<'_>,
    poses: &[Result<Pose, Bad>],
    by_name: &IndexMap<&str, usize>,
    known: &Known<'_>,
    budget: &mut Budget,
    report: &mut Report,
) -> Result<Vec<Pose>, Bad> {
    let base = base(draft.from, draft.bad, poses, by_name, report)?;
    if let (Some(base), false) = (base, draft.named) {
        // What is solved for hands and feet stays theirs.
        let solved = solved_for(base, known);
        draft.joints.retain(|(part, _)| !solved.contains(part));
    }
    let settings = base.map_or(0, count) + draft.joints.len();
    if !budget.take(draft.count, settings, draft.span, report) {
        return Err(Bad::Own);
    }
    // Each joint has numbers of its own, so that a new joint leaves the others' turns as they are.
    let mut dice: Vec<Pcg32> = draft
        .joints
        .iter()
        .map(|(part, _)| Pcg32::seed_from_u64(mixed(draft.seed, known.name(*part))))
        .collect();
    let made = draft.poses().enumerate().map(|(nth, name)| {
        let turns = draft.joints.iter().zip(&mut dice);
        let turns = turns.map(|(&(part, limits), dice)| PoseEntry {
            part,
            value: turn(dice, limits),
            span: Some(draft.span),
        });
        // Without a change first, then each change in turn.
        let change = match nth % (draft.changes.len() + 1) {
            0 => None,
            n => Some(&draft.changes[n - 1]),
        };
        one(&draft, base, name, turns.collect(), change)
    });
    Ok(made.collect())
}

/// A random turn within limits, degrees.
fn turn(dice: &mut Pcg32, [least, most]: [f64; 2]) -> f64 {
    let share = f64::from(dice.next_u32()) / (f64::from(u32::MAX) + 1.0);
    if share < ENDS {
        return least;
    }
    if share >= 1.0 - ENDS {
        return most;
    }
    let along = (share - ENDS) / (1.0 - 2.0 * ENDS);
    let turn = ((least + (most - least) * along) * STEPS).round() / STEPS;
    turn.clamp(least, most) + 0.0
}

/// A seed for one joint: the FNV-1a hash of its name, begun with the seed.
fn mixed(seed: u64, name: &str) -> u64 {
    let bytes = seed.to_le_bytes();
    let all = bytes.iter().chain(name.as_bytes());
    all.fold(0xcbf2_9ce4_8422_2325, |hash, &byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

fn one(
    draft: &StressDraft<'_>,
    base: Option<&Pose>,
    name: String,
    turns: Vec<PoseEntry<f64>>,
    change: Option<&Change>,
) -> Pose {
    let own = Pose {
        name,
        span: Some(draft.span),
        note: draft.note.clone(),
        turn: turns,
        depth: change.map_or_else(Vec::new, |change| change.depth.clone()),
        sides: change.map_or_else(Vec::new, |change| change.sides.clone()),
        compare: base.map_or_else(CompareSettings::default, |base| base.compare),
        ..Pose::rest()
    };
    inherit(base, own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_stay_within_limits_and_reach_both_ends() {
        let mut dice = Pcg32::seed_from_u64(mixed(7, "forearm"));
        let turns: Vec<f64> = (0..400).map(|_| turn(&mut dice, [-12.34, 145.0])).collect();
        assert!(turns.iter().all(|t| (-12.34..=145.0).contains(t)));
        let at = |end: f64| turns.iter().filter(|&&t| t == end).count();
        assert!((30..75).contains(&at(-12.34)), "{}", at(-12.34));
        assert!((30..75).contains(&at(145.0)), "{}", at(145.0));
        let low = turns.iter().filter(|&&t| t < 66.0).count();
        assert!((160..240).contains(&low), "{low}");
    }

    #[test]
    fn seeds_and_joints_differ() {
        let first = |seed, name| Pcg32::seed_from_u64(mixed(seed, name)).next_u32();
        let all = [first(1, "arm"), first(2, "arm"), first(1, "leg")];
        assert!(all[0] != all[1] && all[0] != all[2] && all[1] != all[2]);
    }
}
