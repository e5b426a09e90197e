//! Parts over each other at one depth: which is in front is an accident of the file.

use super::{Check, Finding, Subject};
use crate::cast::{Drawing, PartId, View};
use crate::geom::Region;

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<Finding>) {
    for (view, declared) in subject.views() {
        let depths = depths(declared);
        let drawn: Vec<(PartId, Region)> = (0..declared.parts.len())
            .map(|at| PartId(u32::try_from(at).unwrap_or(u32::MAX)))
            .filter(|&p| declared.parts[p.at()].art != Drawing::Empty)
            .filter(|&p| subject.garment(view, p).is_none())
            .map(|p| (p, subject.silhouette(view, p)))
            .collect();
        for (nth, (b, of_b)) in drawn.iter().enumerate() {
            for (a, of_a) in &drawn[..nth] {
                if depths[a.at()] != depths[b.at()]
                    || carries(declared, *a, *b)
                    || carries(declared, *b, *a)
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
                found.push(Finding::warning(
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
    let depth = |mut at: PartId| {
        let mut sum = 0.0;
        loop {
            let part = &view.parts[at.at()];
            sum += part.depth;
            match part.parent {
                Some(parent) => at = parent,
                None => return sum,
            }
        }
    };
    (0..view.parts.len())
        .map(|at| depth(PartId(u32::try_from(at).unwrap_or(u32::MAX))))
        .collect()
}

fn carries(view: &View, upper: PartId, lower: PartId) -> bool {
    let mut at = view.parts[lower.at()].parent;
    while let Some(id) = at {
        if id == upper {
            return true;
        }
        at = view.parts[id.at()].parent;
    }
    false
}
