//! Parts that no pose shows.

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::cast::{Drawing, PartId, Pose};
use crate::draw::{Scratch, Viewport, draw};
use crate::geom::Affine;

/// Height of the pictures that are looked at, pixels.
const HEIGHT: f64 = 600.0;
/// Parts smaller than this there are passed over, pixels.
const SMALL: f64 = 4.0;

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let [w, h] = subject.member.canvas;
    let scale = HEIGHT / h;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a canvas has limits"
    )]
    let viewport = Viewport {
        width: (w * scale).clamp(1.0, 4000.0) as u32,
        height: HEIGHT as u32,
        to_pixels: Affine::scale([scale, scale]),
    };
    let mut scratch = Scratch::default();
    for (view, declared) in subject.views() {
        let (parts, puppet) = (&declared.parts, &subject.puppets[view]);
        let rest = Pose::rest();
        let poses = subject.lists.iter().flat_map(|list| list.all());
        let mut hidden: Vec<PartId> = declared
            .ids()
            .filter(|&p| parts[p.at()].art != Drawing::Empty)
            .filter(|&p| subject.silhouette(view, p).area() * scale * scale >= SMALL)
            .collect();
        for pose in std::iter::once(&rest).chain(poses) {
            if hidden.is_empty() {
                break;
            }
            let Ok(figure) = puppet.figure(pose) else {
                continue;
            };
            let Ok(frame) = draw(&figure, &viewport, None, true, &mut scratch) else {
                continue;
            };
            let mut seen = vec![false; parts.len() + 1];
            for &owner in frame.owners.iter().flat_map(|map| &map.owners) {
                seen[usize::from(owner)] = true;
            }
            hidden.retain(|p| !seen[p.at() + 1]);
        }
        for part in hidden {
            let name = subject.name(view, part);
            let message = format!("no pose shows \"{name}\"{}", subject.in_view(view));
            let place = parts[part.at()].span;
            let hint = "raise its depth, look at its masks, or take it out";
            found.push(LintFinding::error(
                Check::NeverShown,
                name,
                place,
                message,
                hint,
            ));
        }
    }
}
