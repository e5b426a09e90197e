//! Eyes turned to what is looked at, and what turns along with them.

use super::reach::place;
use super::steps::Work;
use super::{Note, Told};
use crate::cast::{Look, LookTo, PartId};
use crate::diag::Span;
use crate::geom::{Affine, Point, sin_cos_degrees};

/// Eyes turned by this angle have gone as far as they go within their eyes, degrees.
const FARTHEST: f64 = 40.0;

/// Solves where a pose looks.
pub(super) fn solve(work: &mut Work<'_>) {
    let Some((Some(look), span)) = &work.written.look else {
        return;
    };
    let irises: Vec<(PartId, Point)> = (work.view.ids())
        .filter_map(|id| Some((id, work.view.parts[id.at()].look?)))
        .collect();
    let target = match &look.to {
        LookTo::Turned(_) => None,
        LookTo::Target(target, offset) => match place(target, work.view) {
            Ok((part, [x, y])) => Some((part, [x + offset[0], y + offset[1]])),
            Err(text) => {
                if let Some((part, _)) = irises.first() {
                    let (part, span, told) = (*part, *span, Told::NoTarget(text));
                    work.notes.push(Note { part, span, told });
                }
                return;
            }
        },
    };
    share(work, look, &irises, target, *span);
    for (iris, limits) in irises {
        let way = match (&look.to, target) {
            (LookTo::Turned([turn, up]), _) => {
                let ahead = work.view.facing.unwrap_or(0.0);
                let (seen, _) = sin_cos_degrees(ahead + turn);
                let (drawn, _) = sin_cos_degrees(ahead);
                let (high, _) = sin_cos_degrees(*up);
                let (whole, _) = sin_cos_degrees(FARTHEST);
                [
                    limits[0] * (seen - drawn) / whole,
                    -limits[1] * high / whole,
                ]
            }
            (LookTo::Target(..), Some((part, at))) => {
                let at = on_page(work, part, at);
                let Some(back) = carrier(work, iris).inverse() else {
                    continue;
                };
                let (at, own) = (back.apply(at), work.view.parts[iris.at()].pivot);
                let shift = work.pose.parts[iris.at()].setting.shift;
                [at[0] - own[0] - shift[0], at[1] - own[1] - shift[1]]
            }
            (LookTo::Target(..), None) => return,
        };
        let [x, y] = clipped(way, limits);
        let shift = &mut work.pose.parts[iris.at()].setting.shift;
        *shift = [shift[0] + x, shift[1] + y];
    }
}

/// Turns what turns along: by its share of how far up the target is, as far as the view shows that from the side.
fn share(
    work: &mut Work<'_>,
    look: &Look,
    irises: &[(PartId, Point)],
    target: Option<(Option<PartId>, Point)>,
    span: Option<Span>,
) {
    for &(name, share) in &look.share {
        let Some(part) = work.view.part(name) else {
            continue;
        };
        let Some(facing) = work.view.facing else {
            let told = Told::NoFacing;
            work.notes.push(Note { part, span, told });
            return;
        };
        let up = match (&look.to, target) {
            (LookTo::Turned([_, up]), _) => *up,
            (LookTo::Target(..), Some((other, at))) => {
                let at = on_page(work, other, at);
                let eyes = irises.iter().map(|(iris, _)| {
                    let pivot = work.view.parts[iris.at()].pivot;
                    work.placed(*iris).apply(pivot)
                });
                let count = irises.len().max(1) as f64;
                let [x, y] = eyes.fold([0.0, 0.0], |sum, eye| {
                    [sum[0] + eye[0] / count, sum[1] + eye[1] / count]
                });
                libm::atan2(y - at[1], libm::fabs(at[0] - x)).to_degrees()
            }
            (LookTo::Target(..), None) => 0.0,
        };
        let (aside, _) = sin_cos_degrees(facing);
        let turn = &mut work.pose.parts[part.at()].setting.turn;
        let wanted = *turn - share * up * aside;
        *turn = match work.view.parts[part.at()].limits {
            // What the pose turns too far itself stays.
            Some([least, most]) => wanted.clamp(least.min(*turn), most.max(*turn)),
            None => wanted,
        };
    }
}

fn on_page(work: &Work<'_>, part: Option<PartId>, at: Point) -> Point {
    part.map_or(at, |part| work.placed(part).apply(at))
}

fn carrier(work: &Work<'_>, part: PartId) -> Affine {
    let above = work.view.parts[part.at()].parent;
    above.map_or(Affine::IDENTITY, |part| work.placed(part).world)
}

/// As far as it lies in the ellipse with these half axes.
fn clipped([x, y]: Point, [wide, high]: Point) -> Point {
    let far = libm::hypot(
        x / wide.max(f64::MIN_POSITIVE),
        y / high.max(f64::MIN_POSITIVE),
    );
    if far > 1.0 {
        [x / far, y / far]
    } else {
        [x, y]
    }
}
