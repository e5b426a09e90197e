//! Two parts that no seam joins, or that do not hold together, and how their colours differ.

use super::at_rest::AtRest;
use super::finding::{Finding, around};
use super::joint::{Hidden, Joint};
use super::limb::{Limb, Rest};
use super::turns::seam_of;
use crate::art::{Rgb, difference};
use crate::cast::{Measure, PartId, Seam};
use crate::diag::Span;
use crate::geom::Region;

/// Paints nearer than this look the same.
const ALIKE: f64 = 3.0;
/// Below this a colour is no more than a detail, share of the paint at a joint.
const DETAIL: f64 = 0.12;

/// The least difference between the paints (or inks) of two parts at their joint, as they are dressed, and
/// which two colours these are: the main colour of one against any colour of the other, since shades end
/// anywhere.
pub(super) fn apart(
    rest: &Rest<'_>,
    parent: PartId,
    child: PartId,
    joint: &Joint,
    ink: bool,
    palette: usize,
) -> Option<(f64, Rgb, Rgb)> {
    let near = Region::disc(joint.pivot, joint.width * 0.6, joint.width * 0.01);
    let main = |part| {
        let mut all = if ink {
            rest.dressed_inks(part, &near, palette)
        } else {
            rest.dressed_colours(part, &near, palette)
        };
        let sum: f64 = all.iter().map(|(_, area)| area).sum();
        all.retain(|(_, area)| *area >= DETAIL * sum);
        all
    };
    let (a, b) = (main(parent), main(child));
    let pairs = a
        .iter()
        .take(1)
        .flat_map(|x| b.iter().map(move |y| (x.0, y.0)))
        .chain(
            b.iter()
                .take(1)
                .flat_map(|y| a.iter().map(move |x| (x.0, y.0))),
        );
    pairs
        .map(|(x, y)| (difference(x, y), x, y))
        .min_by(|x, y| x.0.total_cmp(&y.0))
}

/// A joint whose two parts run into each other in one colour, with ink across and no seam.
pub(super) fn missing(rest: &Rest<'_>, child: PartId) -> Option<Finding> {
    let part = rest.model().part(child);
    // Marks without art may stand between the two.
    let parent = rest.drawn_carrier(child)?;
    part.limits?;
    if seam_of(rest, parent, child).is_some() || rest.worn(child) || rest.worn(parent) {
        return None;
    }
    // Scarves, chains and levers lie on each other with all their ink: only what is part of a limb counts.
    let in_limb = |part: PartId| {
        let mut seams = rest.view().seams.iter();
        seams.any(|s| s.parent == part || s.child == part)
    };
    // What the other side joins is missed whatever the colours are.
    let joined = twin_is_joined(rest, parent, child);
    if !in_limb(child) && !joined {
        return None;
    }
    let (p, c) = (rest.limb(parent)?, rest.limb(child)?);
    let pivot = part.pivot;
    let joint = Joint::new(&p.silhouette, &c.silhouette, pivot, Hidden::BOTH)?;
    let near = Region::disc(pivot, joint.hidden_reach().max(joint.width * 0.5), 0.05);
    let crossing =
        |of: &Limb, over: &Limb| of.outline.intersection(&over.inner).intersection(&near);
    let (of_parent, of_child) = (crossing(p, c), crossing(c, p));
    let front_is_child = rest.rank[child.at()] > rest.rank[parent.at()];
    let (ink, line) = if front_is_child {
        (&of_child, c.line)
    } else {
        (&of_parent, p.line)
    };
    if !joined {
        let crossing = line > 0.0 && !of_parent.is_empty() && !of_child.is_empty();
        if !crossing || apart(rest, parent, child, &joint, false, 0)?.0 > ALIKE {
            return None;
        }
    }
    let length = if line > 0.0 { ink.area() / line } else { 0.0 };
    let share = 100.0 * length / joint.width;
    let names = [rest.name(child), rest.name(parent)];
    let (by, message) = if joined {
        let model = rest.model();
        let [warning, _] = model
            .member
            .check_limits(model.view, child)
            .get(Measure::Seam)?;
        let message = format!(
            "no seam joins {} and {}, and one joins those of the other side: {length:.0} units of ink run across",
            names[0], names[1]
        );
        (share.max(warning * 1.01), message)
    } else {
        let message = format!(
            "{length:.0} units of ink run across one colour where {} meets {}, and there is no seam",
            names[0], names[1]
        );
        (share, message)
    };
    let hint = format!(
        "write a [seam.*] with parts = [\"{}\", \"{}\"]",
        names[1], names[0]
    );
    let finding = AtRest {
        measure: Measure::Seam,
        parts: &[child, parent],
        value: by,
        span: span(rest, child),
        place: Some(around(pivot, (joint.width * 0.7).max(10.0))),
        message,
        hint,
    }
    .judged(rest)?;
    Some(Finding {
        value: share,
        ..finding
    })
}

/// Two parts that a seam joins and that do not hold together at all at rest.
pub(super) fn not_joined(
    rest: &Rest<'_>,
    parent: PartId,
    child: PartId,
    span: Span,
) -> Option<Finding> {
    let (p, c) = (rest.limb(parent)?, rest.limb(child)?);
    let names = [rest.name(child), rest.name(parent)];
    let pivot = rest.pivot(child);
    let apart = p.silhouette.intersection(&c.silhouette).is_empty();
    let (measure, value, message, hint) = if apart {
        (
            Measure::Overlap,
            0.0,
            format!("{} and {} do not meet at rest", names[0], names[1]),
            format!("put {} where it overlaps {}", names[0], names[1]),
        )
    } else {
        (
            Measure::Pivot,
            100.0,
            format!(
                "the pivot of {} lies outside both {} and {}",
                names[0], names[0], names[1]
            ),
            format!("move the pivot of {} to where both overlap", names[0]),
        )
    };
    let place = around(pivot, c.silhouette.reach(pivot).clamp(10.0, 120.0));
    let parts = [child, parent];
    AtRest {
        measure,
        parts: &parts,
        value,
        span,
        place: Some(place),
        message,
        hint,
    }
    .judged(rest)
}

/// A part that turns and does not touch what carries it, where that of the other side does.
pub(super) fn fallen_off(rest: &Rest<'_>, child: PartId) -> Option<Finding> {
    let part = rest.model().part(child);
    let parent = part.parent?;
    part.limits?;
    if seam_of(rest, parent, child).is_some() || rest.worn(child) {
        return None;
    }
    let meet = |a: PartId, b: PartId| {
        let (a, b) = (rest.limb(a)?, rest.limb(b)?);
        Some(!a.silhouette.intersection(&b.silhouette).is_empty())
    };
    if meet(parent, child)? {
        return None;
    }
    let twin = rest.twin(child)?;
    let carries = rest.model().part(twin).parent?;
    meet(carries, twin)?
        .then(|| not_joined(rest, parent, child, part.span))
        .flatten()
}

/// The seam that joins the same parts of the other side, and those parts: parent, child.
pub(super) fn twin_seam<'a>(
    rest: &Rest<'a>,
    parent: PartId,
    child: PartId,
) -> Option<(&'a Seam, [PartId; 2])> {
    let c = rest.twin(child)?;
    let p = rest.twin(parent).unwrap_or(parent);
    seam_of(rest, p, c).map(|(_, seam)| (seam, [p, c]))
}

/// True when a seam joins the same parts of the other side, one in front of the other as these are.
fn twin_is_joined(rest: &Rest<'_>, parent: PartId, child: PartId) -> bool {
    // Behind the body a limb may well end at the body's line.
    let in_front = |c: PartId, p: PartId| rest.rank[c.at()] > rest.rank[p.at()];
    twin_seam(rest, parent, child)
        .is_some_and(|(_, [p, c])| in_front(c, p) == in_front(child, parent))
}

fn span(rest: &Rest<'_>, part: PartId) -> Span {
    rest.model().part(part).span
}
