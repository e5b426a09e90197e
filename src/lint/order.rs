//! Parts over each other at one depth: which is in front is an accident of the file.

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::cast::{Drawing, PartId, View};
use crate::geom::Region;

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    for (view, declared) in subject.views() {
        let depths = depths(declared);
        let drawn: Vec<(PartId, Region)> = declared
            .ids()
            .filter(|&p| declared.parts[p.at()].art != Drawing::Empty)
            .filter(|&p| subject.garment(view, p).is_none())
            .map(|p| (p, subject.silhouette(view, p)))
            .collect();
        for (nth, (b, of_b)) in drawn.iter().enumerate() {
            for (a, of_a) in &drawn[..nth] {
                if depths[a.at()] != depths[b.at()]
                    || declared.carries(*a, *b)
                    || declared.carries(*b, *a)
                    || of_a.intersection(of_b).area() < subject.member.lint.depth_tie
                {
                    continue;
                }
                let (front, back) = (subject.name(view, *b), subject.name(view, *a));
                let message = format!(
                    "\"{front}\" is in front of \"{back}\"{} only because it is declared later",
                    subject.in_view(view)
                );
                let place = declared.parts[b.at()].span;
                let hint = "give one of them a depth of its own";
                found.push(LintFinding::warning(
                    Check::DepthTie,
                    front,
                    place,
                    message,
                    hint,
                ));
            }
        }
    }
}

fn depths(view: &View) -> Vec<f64> {
    let own = |part: PartId| view.parts[part.at()].depth;
    let depth = |part| view.upwards(part).map(own).sum::<f64>();
    view.ids().map(depth).collect()
}
