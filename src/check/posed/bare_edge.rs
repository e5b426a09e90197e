//! Edges of parts that are seen against a stranger without a line.

use super::Found;
use super::borders::{normal, scale};
use super::scene::{Placed, Scene};
use crate::art::Role;
use crate::cast::{Measure, PartId};
use crate::geom::Point;
use crate::solve::Cut;

/// Across the border, widths of the line, where ink would be seen if there were any.
const ACROSS: [f64; 6] = [-1.3, -0.8, -0.3, 0.3, 0.8, 1.3];

/// A stretch of border without a line.
struct Stretch {
    length: f64,
    /// Points of it, and what is seen beyond.
    points: Vec<Point>,
    beyond: Option<PartId>,
    /// Numbers of its marks, and whether ink was drawn there.
    marks: Vec<usize>,
    inked: bool,
}

/// The longest bare stretch of each part's border, in widths of its line: a line's gap is seen as long or short by
/// that, and a head or a crate has no limb's width.
pub(super) fn check(
    scene: &Scene<'_>,
    drawn_so: &dyn Fn(PartId) -> Vec<(usize, Option<PartId>)>,
) -> Vec<Found> {
    let parts = scene.figure.order().iter();
    parts
        .filter(|&&part| !scene.rest.worn(part))
        .filter_map(|&part| {
            let (posed, line) = line_of(scene, part)?;
            let mut all = stretches(scene, part, &[]);
            // Edges that are drawn without ink, and seen like that at rest or against that part, are meant.
            if all.iter().any(|s| !s.inked) {
                all = stretches(scene, part, &drawn_so(part));
            }
            let worst = all
                .into_iter()
                .max_by(|a, b| a.length.total_cmp(&b.length))?;
            let value = worst.length * posed / line;
            let name = scene.rest.name(part);
            let against = worst.beyond.map_or_else(
                || "the paper".to_owned(),
                |beyond| scene.rest.name(beyond),
            );
            Some(Found {
                measure: Measure::BareEdge,
                value,
                message: format!(
                    "{value:.1} line widths of {name}'s edge are seen against {against} without a line"
                ),
                hint: if worst.inked {
                    format!(
                        "keep {name}'s ink there: a smaller zone, or the other part's paint where the two meet"
                    )
                } else {
                    format!("draw ink along {name}'s edge, or paint that does not go past its ink")
                },
                parts: std::iter::once(part).chain(worst.beyond).collect(),
                places: worst.points,
            })
        })
        .collect()
}

/// How much a part is made larger, and what its line is wide then.
fn line_of(scene: &Scene<'_>, part: PartId) -> Option<(f64, f64)> {
    let (_, look, posed) = scene.figure.drawing(part)?;
    let border = scene.border(look);
    let by = scale(&posed);
    (border.line > 0.0).then_some((by, border.line * by))
}

/// The marks of a part at which its drawing has no ink and none is seen, with what is seen beyond.
pub(super) fn bare_marks(scene: &Scene<'_>, part: PartId) -> Vec<(usize, Option<PartId>)> {
    let bare = stretches(scene, part, &[]).into_iter().filter(|s| !s.inked);
    bare.flat_map(|s| s.marks.into_iter().map(move |m| (m, s.beyond)))
        .collect()
}

fn stretches(scene: &Scene<'_>, part: PartId, meant: &[(usize, Option<PartId>)]) -> Vec<Stretch> {
    let Some((_, line)) = line_of(scene, part) else {
        return Vec::new();
    };
    let Some((_, look, posed)) = scene.figure.drawing(part) else {
        return Vec::new();
    };
    let border = scene.border(look);
    let cuts = ink_cuts(scene, part);
    let opens = |p: Point| cuts.iter().any(|cut| cut.holds(p));
    let mut all: Vec<Stretch> = Vec::new();
    let mut goes_on = false;
    for (k, mark) in border.marks.iter().enumerate() {
        goes_on &= !mark.first;
        let out = normal(&posed, mark.out);
        let at = posed.apply(mark.at);
        let off = |by: f64| [at[0] + out[0] * line * by, at[1] + out[1] * line * by];
        // Most borders have their ink.
        if mark.inked && !opens(off(-0.5)) {
            goes_on = false;
            continue;
        }
        let found = bare(scene, part, &off).filter(|beyond| {
            let as_drawn =
                |m: &(usize, Option<PartId>)| m.0 == k || m.1.is_some() && m.1 == *beyond;
            mark.inked || !meant.iter().any(as_drawn)
        });
        let Some(beyond) = found else {
            goes_on = false;
            continue;
        };
        let more = all
            .last_mut()
            .filter(|last| goes_on && last.inked == mark.inked);
        if let Some(last) = more {
            last.length += mark.length;
            last.points.push(at);
            last.marks.push(k);
            last.beyond = last.beyond.or(beyond);
        } else {
            all.push(Stretch {
                length: mark.length,
                points: vec![at],
                beyond,
                marks: vec![k],
                inked: mark.inked,
            });
        }
        goes_on = true;
    }
    all
}

/// What seams take from a part's ink.
fn ink_cuts<'s>(scene: &'s Scene<'_>, part: PartId) -> Vec<&'s Placed> {
    let own = |p: &&super::scene::Piece<'_>| p.layer.part == part && p.role == Role::Ink;
    let layer = scene.layers.iter().find(own);
    let cuts = layer.into_iter().flat_map(|piece| scene.cuts(piece));
    cuts.filter(|(cut, _)| matches!(cut, Cut::Seams { .. }))
        .map(|(_, placed)| placed)
        .collect()
}

/// Whether a part is seen on this side of its border, something that is not joined to it beyond, and no ink
/// about it; and what lies beyond.
fn bare(scene: &Scene<'_>, part: PartId, off: &dyn Fn(f64) -> Point) -> Option<Option<PartId>> {
    // Where ink is opened the paint ends in its middle.
    let inside = scene.top(off(-0.8))?;
    if inside.role == Role::Ink || !scene.belongs(inside.layer.part, part) {
        return None;
    }
    let beyond = scene.top(off(0.5));
    if let Some(piece) = beyond {
        let other = piece.layer.part;
        let behind = scene.figure.rank(other) < scene.figure.rank(part);
        if piece.role == Role::Ink || !behind || scene.joined(part, other) {
            return None;
        }
    }
    let clear = !ACROSS.iter().any(|&by| scene.is_ink(off(by)));
    clear.then(|| beyond.map(|piece| piece.layer.part))
}
