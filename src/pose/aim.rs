//! The body's lean, and limbs aimed in space: each view takes its own turn, length and depth of them.

use super::skeleton::{POINTS, Placed, Said, length, skeleton};
use super::space::{nearest_turn, on_page, toward, turn_between};
use super::steps::Work;
use super::{DepthRule, Note, Told, depth};
use crate::cast::{PartId, PoseEntry, Side};
use crate::diag::Span;
use crate::geom::Affine;
use crate::kinematics;

/// What is nearer by less, in lengths of the limb, stays in the drawn order.
const LEVEL: f64 = 0.15;
/// How far a body's line may lie off the way that it stands, degrees.
const ASIDE: f64 = 15.0;

/// Solves what a pose says of directions in space.
pub(super) fn solve(work: &mut Work<'_>) {
    let (view, written) = (work.view, work.written);
    let Some(facing) = view.facing else {
        return;
    };
    let mut says = vec![Said::default(); view.parts.len()];
    let mut spans: Vec<Option<Span>> = vec![None; view.parts.len()];
    each(work, &written.lean, |part, lean, span| {
        says[part].lean = Some(lean);
        spans[part] = span;
    });
    each(work, &written.aim, |part, aim, span| {
        says[part].aim = Some(aim);
        spans[part] = span;
    });
    if says.iter().all(Said::is_nothing) {
        return;
    }
    let order = kinematics::parents_first(&view.parts);
    let placed = skeleton(view, facing, &order, &says);
    let mut linear = vec![Affine::IDENTITY; view.parts.len()];
    for &id in &order {
        let at = id.at();
        let outer = view.parts[at]
            .parent
            .map_or(Affine::IDENTITY, |id| linear[id.at()]);
        if !says[at].is_nothing() {
            let here = Here {
                id,
                placed: &placed[at],
                aimed: says[at].aim.is_some(),
                facing,
                span: spans[at],
            };
            here.turn(work, outer);
            here.stretch(work);
        }
        linear[at] = outer.after(work.pose.parts[at].setting.linear());
    }
    let aimed = order.iter().filter(|id| says[id.at()].aim.is_some());
    let aimed: Vec<PartId> = aimed.copied().collect();
    depths(work, &aimed, &placed, facing);
}

fn each<T: Copy>(
    work: &Work<'_>,
    table: &[PoseEntry<Option<T>>],
    mut take: impl FnMut(usize, T, Option<Span>),
) {
    for entry in table {
        if let (Some(part), Some(value)) = (work.view.part(entry.part), entry.value) {
            take(part.at(), value, entry.span);
        }
    }
}

/// A part whose direction is said.
struct Here<'a> {
    id: PartId,
    placed: &'a Placed,
    aimed: bool,
    facing: f64,
    span: Option<Span>,
}

impl Here<'_> {
    fn note(&self, work: &mut Work<'_>, told: Told) {
        work.notes.push(Note {
            part: self.id,
            span: self.span,
            told,
        });
    }

    /// Turns it from where it is drawn to where it points, less what its carriers do.
    fn turn(&self, work: &mut Work<'_>, outer: Affine) {
        let Placed {
            line,
            drawn,
            direction,
            ..
        } = *self.placed;
        // A body leans as it stands, wherever its line goes.
        let from = if self.aimed { line } else { drawn };
        let to = on_page(direction, self.facing);
        if length(to) < 1e-9 || length(from) < 1e-9 || length(drawn) <= POINTS {
            return;
        }
        let to = outer.inverse().map_or(to, |back| back.apply(to));
        let limits = work.view.parts[self.id.at()].limits;
        let middle = limits.map_or(0.0, |[least, most]| f64::midpoint(least, most));
        work.turn(self.id, nearest_turn(turn_between(from, to), middle));
        let turn = work.pose.parts[self.id.at()].setting.turn;
        if limits.is_some_and(|[least, most]| turn < least - SLACK || turn > most + SLACK) {
            self.note(work, Told::Beyond(turn));
        }
    }

    /// Makes it as long as the view shows it.
    fn stretch(&self, work: &mut Work<'_>) {
        let Placed {
            line,
            drawn,
            direction,
            ..
        } = *self.placed;
        // A body whose line goes elsewhere than it stands, to a shoulder, has no length of its own.
        let aside = !self.aimed && libm::fabs(turn_between(drawn, line)) > ASIDE;
        if length(line) == 0.0 || aside {
            return;
        }
        let (shown, drawn) = (length(on_page(direction, self.facing)), length(drawn));
        if drawn <= POINTS {
            self.note(work, Told::DrawnAtViewer);
            return;
        }
        let share = shown / drawn;
        if self.replaced(work, share) {
            return;
        }
        let shortest = work.view.shortest;
        if share < shortest {
            self.note(
                work,
                if shown <= POINTS {
                    Told::AtViewer
                } else {
                    Told::TooShort(share)
                },
            );
        }
        work.pose.parts[self.id.at()].setting.stretch *= share.max(shortest);
    }

    /// Shows the drawing that the rig has for a limb that is seen so short, and moves what it carries as far in as a
    /// shorter limb would.
    fn replaced(&self, work: &mut Work<'_>, share: f64) -> bool {
        let part = &work.view.parts[self.id.at()];
        let mut named = part.space.foreshortened.iter();
        let Some((name, _)) = named.find(|(_, [least, most])| (*least..=*most).contains(&share))
        else {
            return false;
        };
        let chosen = |entry: &PoseEntry<String>| entry.part == part.name;
        if !work.written.replace.iter().any(chosen) {
            work.pose.parts[self.id.at()].drawing = part.drawing(name);
        }
        let [x, y] = self.placed.line;
        for (other, posed) in work.view.parts.iter().zip(&mut work.pose.parts) {
            if other.parent == Some(self.id) {
                let [to_x, to_y] = [0, 1].map(|k| other.pivot[k] - part.pivot[k]);
                let along = ((to_x * x + to_y * y) / (x * x + y * y)).clamp(0.0, 1.0);
                posed.setting.shift[0] += (share - 1.0) * along * x;
                posed.setting.shift[1] += (share - 1.0) * along * y;
            }
        }
        true
    }
}

/// Limits are gone over by more than rounding.
const SLACK: f64 = 1e-6;

/// Puts limbs in front of what carries them, and of the body, or behind, where the view shows them nearer or farther
/// than they are drawn.
fn depths(work: &mut Work<'_>, aimed: &[PartId], placed: &[Placed], facing: f64) {
    let view = work.view;
    let mut drawn = Vec::new();
    for id in view.ids() {
        let above = view.upwards(id);
        let all = above.map(|id| view.parts[id.at()].depth + work.pose.parts[id.at()].depth);
        drawn.push(all.sum());
    }
    let nearer = |id: PartId, other: PartId| {
        let [own, other] = [id, other].map(|id| toward(placed[id.at()].middle(), facing));
        let nearer = own - other;
        (libm::fabs(nearer) > LEVEL * placed[id.at()].length).then_some(nearer > 0.0)
    };
    let is_drawn = |id: &PartId| view.parts[id.at()].is_drawn();
    let is_body = |id: &PartId| view.parts[id.at()].space.side.is_none();
    // What a pose says of a part it says of all that the part carries.
    let stated = |id: &PartId| {
        let mut said = work.written.sides.iter();
        said.any(|said| view.part(said.part) == Some(*id))
    };
    let mut rules: Vec<DepthRule> = Vec::new();
    for &id in aimed.iter().filter(|id| !stated(id)) {
        let above = || view.upwards(id).skip(1);
        let carrier = above().find(is_drawn);
        let limb: Vec<PartId> = above().take_while(|id| !is_body(id)).collect();
        let body = above().find(|id| is_drawn(id) && is_body(id));
        let body = body.filter(|_| !limb.iter().any(stated));
        let moved = limb
            .iter()
            .any(|&id| rules.iter().any(|rule| rule.part == id));
        let in_front = |other: PartId| (drawn[id.at()], id) > (drawn[other.at()], other);
        let asked = carrier.into_iter().chain(body.filter(|_| body != carrier));
        let asked: Vec<(PartId, Option<bool>)> =
            asked.map(|other| (other, nearer(id, other))).collect();
        let other_than_drawn = |&(other, nearer): &(PartId, Option<bool>)| {
            nearer.is_some_and(|nearer| nearer != in_front(other) || moved && Some(other) == body)
        };
        if !asked.iter().any(other_than_drawn) {
            continue;
        }
        // Whoever is put somewhere leaves the drawn order, so that it is said of both.
        rules.extend(asked.into_iter().filter_map(|(of, nearer)| {
            let side = if nearer? { Side::InFront } else { Side::Behind };
            Some(DepthRule { part: id, side, of })
        }));
    }
    let parents: Vec<Option<PartId>> = view.parts.iter().map(|part| part.parent).collect();
    let mut all = work.pose.rules.clone();
    all.extend(&rules);
    if depth::order(&drawn, &parents, &all).is_err() {
        // What the pose says, and what is nearer the root, goes before.
        all.clone_from(&work.pose.rules);
        for rule in rules {
            all.push(rule);
            if depth::order(&drawn, &parents, &all).is_err() {
                all.pop();
            }
        }
    }
    work.pose.rules = all;
}
