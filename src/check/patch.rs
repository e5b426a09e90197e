//! A seam's patch: whether it stays within the paint that it is to mend, and has its colour.

use super::at_rest::{AtRest, circle, posed};
use super::finding::{Finding, around};
use super::joint::Joint;
use super::limb::Rest;
use super::range::trace;
use crate::art::{Role, difference};
use crate::cast::{Measure, Seam};
use crate::geom::{Affine, Region};

/// Curves are followed to this, % of the patch.
const TOLERANCE: f64 = 1.0;

/// Checks the patch of a seam, if it has one, through the joint's limits.
pub(super) fn check(rest: &Rest<'_>, seam: &Seam, joint: &Joint) -> Vec<Finding> {
    let (Some(id), Some(parent), Some(child)) =
        (seam.patch, rest.limb(seam.parent), rest.limb(seam.child))
    else {
        return Vec::new();
    };
    let model = rest.model();
    let patch = rest.regions(id).silhouette(&model.art[id.at()]);
    let [from, to] = model.part(seam.child).limits.unwrap_or([0.0, 0.0]);
    // It rides on the parent. Over the outline it would thin the line, and outside it would stick out.
    let out = |angle: f64| {
        let turn = Joint::turned(angle, joint.pivot);
        patch
            .difference(&parent.inner)
            .difference(&child.inner.transformed(&turn))
    };
    let share = |region: &Region| 100.0 * region.area() / patch.area();
    let curve = trace(from, to, TOLERANCE, |angle| share(&out(angle)));
    let names = [rest.name(seam.child), rest.name(seam.parent)];
    let finding = |measure, value, message: String, hint: String| {
        let parts = [seam.child, seam.parent];
        let place = Some(around(joint.pivot, joint.width));
        AtRest {
            measure,
            parts: &parts,
            value,
            span: seam.span,
            place,
            message,
            hint,
        }
        .judged(rest)
    };
    let worst = curve.worst;
    let message = format!(
        "{:.0} % of the patch of seam {} lies outside the paint of {} and {}, with {} at {:.1} degrees",
        worst.value, seam.name, names[1], names[0], names[0], worst.angle
    );
    let hint = "draw the patch smaller, within the paint of both parts".to_owned();
    let spill = finding(Measure::Spill, worst.value, message, hint).map(|mut f| {
        f.turns = vec![(names[0].clone(), worst.angle)];
        f.pose = posed(rest, &[(seam.child, worst.angle)], None);
        f.place = circle(&out(worst.angle)).or(f.place);
        f
    });
    let colour = || {
        let main = |colours: Vec<_>| colours.first().map(|(rgb, _)| *rgb);
        let own = main(rest.colours_of(id, &Affine::IDENTITY, Role::Paint, patch, 0))?;
        let under = [seam.parent, seam.child].map(|p| main(rest.dressed_colours(p, patch, 0)));
        let near = under
            .into_iter()
            .flatten()
            .min_by(|a, b| difference(own, *a).total_cmp(&difference(own, *b)))?;
        let apart = difference(own, near);
        let message = format!(
            "the patch of seam {} is {own}, and what it lies on is {near}: {apart:.1} apart by CIEDE2000",
            seam.name
        );
        let hint = "give the patch the swatch of the paint that it lies on".to_owned();
        finding(Measure::Colour, apart, message, hint)
    };
    spill.into_iter().chain(colour()).collect()
}
