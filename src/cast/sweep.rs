//! `[sweep.<name>]`: joints taken through their range.

use indexmap::IndexMap;

use super::field::Field;
use super::fields::Fields;
use super::inherit::{Bad, Budget, base, count, inherit};
use super::limits::of_norm;
use super::pose::Known;
use super::report::Report;
use super::value::{number, pair, texts};
use super::{NameId, Pose, PoseEntry, Sweep, SweepAxis, names};
use crate::diag::{Problem, Span, quoted};

/// The most poses that one sweep makes.
const MOST_POSES: f64 = 10_000.0;
/// A sweep as it is written; its angles are known, its poses are not.
#[derive(Debug)]
pub(super) struct SweepDraft<'t> {
    name: &'t str,
    span: Span,
    from: Option<(&'t str, Span)>,
    note: Option<String>,
    axes: Vec<(SweepAxis, Span)>,
    /// It has errors.
    pub bad: bool,
}

/// Reads what one sweep says.
pub(super) fn sweep<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<SweepDraft<'t>> {
    names::check(declared.name, "sweep", declared.name_span, report);
    let from = fields.text("from", report);
    let note = fields.words("note", report);
    let joints = joints(&mut fields, known, report);
    let count = joints.as_ref().map(Vec::len);
    let over = fields.take("over");
    let over = over.map(|value| ranges(&value, count, report));
    let step = fields.take("step");
    let steps = step.map(|value| steps(&value, count, report));
    let usual_step = fields.key("step").number();
    fields.finish(report);

    let joints = joints?.into_iter().collect::<Option<Vec<_>>>()?;
    let ranges = match over {
        Some(over) => over?,
        None => limits(&joints, known, report)?,
    };
    let steps = match steps {
        Some(steps) => steps?,
        None => vec![usual_step; joints.len()],
    };
    let mut poses = 1.0;
    for (&[first, last], &step) in ranges.iter().map(|(range, _)| range).zip(&steps) {
        poses *= ((last - first).abs() / step).ceil() + 1.0;
    }
    if poses > MOST_POSES {
        let message = format!("this sweep makes {poses} poses, more than {MOST_POSES}");
        let problem =
            Problem::error(declared.name_span, message).hint("widen \"step\" or narrow \"over\"");
        report.push(problem);
        return None;
    }
    let joints = joints.into_iter().zip(ranges).zip(steps);
    let axes = joints.map(|(((part, span), ([first, last], over)), step)| {
        for turn in [first, last] {
            known.check_turn(part, turn, over, report);
        }
        let angles = angles(first, last, step);
        (SweepAxis { part, angles }, span)
    });
    Some(SweepDraft {
        name: declared.name,
        span: declared.name_span,
        from,
        note,
        axes: axes.collect(),
        bad: false,
    })
}

/// The joints that turn; `None` inside for those that are unknown.
fn joints(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Vec<Option<(NameId, Span)>>> {
    let value = fields.need("turn", report)?;
    let named = texts(&value, "\"turn\"", report)?;
    if named.is_empty() {
        let problem = Problem::error(value.span, "\"turn\" names no part");
        report.push(problem.hint(value.hint()));
        return None;
    }
    let mut found: Vec<Option<(NameId, Span)>> = Vec::new();
    for (name, span) in named {
        let part = known.part(name, span, report);
        if part.is_some()
            && found
                .iter()
                .flatten()
                .any(|(other, _)| Some(*other) == part)
        {
            let message = format!("part {} is named twice", quoted(name));
            report.push(Problem::error(span, message).hint("name each joint once"));
            return None;
        }
        found.push(part.map(|part| (part, span)));
    }
    Some(found)
}

/// Reports a list that is not as long as the list of joints.
fn check_count(what: &str, found: usize, wanted: usize, span: Span, report: &mut Report) -> bool {
    if found != wanted {
        let message = format!("{what} has {found} entries for {wanted} joints");
        let hint = "give one for each joint, or one for all";
        report.push(Problem::error(span, message).hint(hint));
    }
    found == wanted
}

type Ranges = Vec<([f64; 2], Span)>;

/// Reads `over`: a range (or a human joint) for all joints, or a range for each. `count` is the number of joints, if it
/// is known.
fn ranges(value: &Field<'_>, count: Option<usize>, report: &mut Report) -> Option<Ranges> {
    if let Some(range) = of_norm(value, "\"over\"", report) {
        return Some(vec![(range?, value.span); count?]);
    }
    let items = value.items();
    let items = items.filter(|items| items.iter().any(|item| item.value.is_array()));
    let Some(items) = items else {
        let range = pair(value, "\"over\"", report)?;
        return Some(vec![(range, value.span); count?]);
    };
    let read = |item| Some((pair(item, "\"over\"", report)?, item.span));
    let all: Vec<Option<([f64; 2], Span)>> = items.iter().map(read).collect();
    check_count("\"over\"", items.len(), count?, value.span, report)
        .then_some(all.into_iter().collect::<Option<_>>()?)
}

/// Reads `step`: a number for all joints, or one for each.
fn steps(value: &Field<'_>, count: Option<usize>, report: &mut Report) -> Option<Vec<f64>> {
    let Some(items) = value.items() else {
        let step = number(value, "\"step\"", report)?;
        return Some(vec![step; count?]);
    };
    let read = |item| number(item, "\"step\"", report);
    let all: Vec<Option<f64>> = items.iter().map(read).collect();
    check_count("\"step\"", items.len(), count?, value.span, report)
        .then_some(all.into_iter().collect::<Option<_>>()?)
}

/// The joints' own limits, from the first view that has them.
fn limits(joints: &[(NameId, Span)], known: &Known<'_>, report: &mut Report) -> Option<Ranges> {
    let mut all = Some(Vec::new());
    for &(part, span) in joints {
        let limits = known.all(part).find_map(|(_, part)| part.limits);
        match (limits, &mut all) {
            (Some(limits), Some(all)) => all.push((limits, span)),
            (Some(_), None) => {}
            (None, _) => {
                let name = quoted(known.name(part));
                let problem = Problem::error(span, format!("{name} has no limits to sweep over"))
                    .hint("write over = [-10, 145] here, or limits in the rig");
                report.push(problem);
                all = None;
            }
        }
    }
    all
}

/// The angles from `first` to `last`, which is always one of them.
fn angles(first: f64, last: f64, step: f64) -> Vec<f64> {
    let steps = ((last - first).abs() / step - 1e-6).ceil().max(0.0);
    let step = step.copysign(last - first);
    // The product is exact to far more decimals than these; the rest is noise that names would show.
    let tidy = |angle: f64| (angle * 1e6).round() / 1e6 + 0.0;
    let mut all = vec![first];
    let mut n = 1.0;
    while n < steps {
        all.push(tidy(first + n * step));
        n += 1.0;
    }
    if steps > 0.0 {
        all.push(last);
    }
    all
}

/// Makes the poses of a sweep, from the poses of its list.
pub(super) fn resolve(
    draft: SweepDraft<'_>,
    poses: &[Result<Pose, Bad>],
    by_name: &IndexMap<&str, usize>,
    budget: &mut Budget,
    report: &mut Report,
) -> Result<Sweep, Bad> {
    let base = base(draft.from, draft.bad, poses, by_name, report)?;
    let mut sweep = Sweep {
        name: draft.name.to_owned(),
        span: draft.span,
        note: draft.note,
        axes: Vec::new(),
        poses: Vec::new(),
    };
    let number: usize = draft
        .axes
        .iter()
        .map(|(axis, _)| axis.angles.len())
        .product();
    let settings = base.map_or(0, count) + draft.axes.len();
    if !budget.take(number, settings, draft.span, report) {
        return Err(Bad::Own);
    }
    for nth in 0..number {
        let mut turns = Vec::with_capacity(draft.axes.len());
        let mut rest = nth;
        for (axis, span) in draft.axes.iter().rev() {
            let count = axis.angles.len();
            turns.push(PoseEntry {
                part: axis.part,
                value: axis.angles[rest % count],
                span: Some(*span),
            });
            rest /= count;
        }
        turns.reverse();
        sweep.poses.push(at(&sweep, base, turns));
    }
    sweep.axes = draft.axes.into_iter().map(|(axis, _)| axis).collect();
    Ok(sweep)
}

/// One pose of a sweep.
fn at(sweep: &Sweep, base: Option<&Pose>, turns: Vec<PoseEntry<f64>>) -> Pose {
    let angles: Vec<String> = turns.iter().map(|said| said.value.to_string()).collect();
    let own = Pose {
        name: format!("{}@{}", sweep.name, angles.join(",")),
        span: Some(sweep.span),
        note: sweep.note.clone(),
        turn: turns,
        ..Pose::rest()
    };
    inherit(base, own)
}

#[cfg(test)]
mod tests {
    use super::angles;

    #[test]
    fn a_sweep_starts_at_the_first_angle_and_ends_at_the_last() {
        assert_eq!(angles(0.0, 45.0, 15.0), [0.0, 15.0, 30.0, 45.0]);
        assert_eq!(angles(-10.0, 30.0, 15.0), [-10.0, 5.0, 20.0, 30.0]);
        assert_eq!(angles(0.0, 10.0, 15.0), [0.0, 10.0]);
        assert_eq!(angles(5.0, 5.0, 15.0), [5.0]);
    }

    #[test]
    fn a_sweep_may_go_backwards() {
        assert_eq!(angles(30.0, -10.0, 15.0), [30.0, 15.0, 0.0, -10.0]);
    }

    #[test]
    fn angles_have_no_noise() {
        let tenths = angles(0.0, 1.0, 0.1);
        let names: Vec<String> = tenths.iter().map(f64::to_string).collect();
        assert_eq!(names.join(" "), "0 0.1 0.2 0.3 0.4 0.5 0.6 0.7 0.8 0.9 1");
        assert_eq!(angles(-0.3, 0.3, 0.1).len(), 7);
        assert!(angles(-0.3, 0.3, 0.1)[3].is_sign_positive());
    }
}
