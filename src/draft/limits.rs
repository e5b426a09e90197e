//! How far parts turn: human norms by the name of the joint, else what the drawing holds.

use super::part::{Decided, Part, Sure};
use super::trade::Sort;
use super::view::View;
use crate::cast::{Source, norms};
use crate::check::{Hidden, Joint};

/// Of a limb whose joint no norm knows, at most so far, degrees.
const MOST: f64 = 90.0;
/// In steps of this, degrees.
const STEP: f64 = 10.0;
/// What juts out or opens by less is not seen, share of the limb's width.
const HOLDS: f64 = 0.12;
/// Of what only sways, degrees.
const SWAYS: f64 = 20.0;
/// A face that looks to a side has its features so far off its middle, as a share of its width.
const LOOKS: f64 = 0.15;

/// Which way a figure looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// To the left of the picture.
    Left,
    /// To the right.
    Right,
    /// Neither, or it cannot be told.
    Ahead,
}

/// Which way a figure looks: where its face and its feet are.
#[must_use]
pub fn looks(view: &View) -> Looks {
    let named = view.name.as_deref().unwrap_or_default();
    if named == "front" || named == "back" {
        return Looks::Ahead;
    }
    let (mut sum, mut seen) = (0.0, 0.0);
    let heads = view.parts.iter().filter(|p| p.is("head"));
    let features = ["nose", "mouth", "muzzle", "eye", "moustache"];
    for head in heads {
        let width = (head.shown.bounds[2] - head.shown.bounds[0]).max(f64::MIN_POSITIVE);
        for part in view
            .parts
            .iter()
            .filter(|p| features.iter().any(|f| p.is(f)))
        {
            sum += (part.shown.middle()[0] - head.shown.middle()[0]) / width;
            seen += 1.0;
        }
    }
    let mean = if seen > 0.0 { sum / seen } else { 0.0 };
    if mean > LOOKS {
        Looks::Right
    } else if mean < -LOOKS {
        Looks::Left
    } else {
        Looks::Ahead
    }
}

/// Decides the limits of all parts that turn.
pub fn limits(view: &mut View) {
    let looks = looks(view);
    let found: Vec<_> = (0..view.parts.len()).map(|k| of(view, k, looks)).collect();
    for (part, limits) in view.parts.iter_mut().zip(found) {
        part.limits = limits;
    }
}

fn of(view: &View, k: usize, looks: Looks) -> Option<Decided<(String, [f64; 2])>> {
    let part = &view.parts[k];
    let on = part.parent.as_ref()?.value;
    let worn = view.garments.iter().any(|g| g.part == k);
    if worn || part.rigid {
        return None;
    }
    if let Some(joint) = part.trade.and_then(|t| t.joint) {
        return Some(human(joint, looks));
    }
    match part.trade.map(|t| t.sort) {
        Some(Sort::Inside | Sort::Garment) => None,
        Some(Sort::Feature) => {
            let sways = ["ear", "hair", "horn", "brow", "wheel", "hat"];
            let named = part.trade.is_some_and(|t| sways.contains(&t.name));
            if named && is_round(part) {
                return Some(wheel());
            }
            named.then(|| plain([-SWAYS, SWAYS], Sure::Guess, "it sways"))
        }
        Some(Sort::Limb) | None => {
            if super::trade::about(&part.words).is_some() {
                return None;
            }
            if part.trade.is_none()
                && is_round(part)
                && view.overlaps.share(&view.parts, k, on) > 0.5
            {
                return Some(wheel());
            }
            holds(view, k, on)
        }
    }
}

fn plain(range: [f64; 2], sure: Sure, why: &str) -> Decided<(String, [f64; 2])> {
    let [least, most] = range;
    Decided::new((format!("[{least}, {most}]"), range), sure, why)
}

fn wheel() -> Decided<(String, [f64; 2])> {
    plain([-180.0, 180.0], Sure::Likely, "it is round")
}

/// A norm, turned the way the figure looks; both ways alike where that cannot be told.
fn human(joint: &str, looks: Looks) -> Decided<(String, [f64; 2])> {
    let degrees = |motion: &str| {
        let of = |n: &&crate::cast::Norm| {
            (n.source, n.group, n.joint, n.motion) == (Source::Aaos, "adult", joint, motion)
        };
        norms().iter().find(of).map_or(0.0, |n| n.degrees)
    };
    let (forward, back) = if joint == "ankle" {
        ("dorsiflexion", "plantarflexion")
    } else {
        ("flexion", "extension")
    };
    // On a figure that looks to the right what swings forward turns against the clock, and what folds back turns with it.
    let folds_back = matches!(joint, "knee" | "neck");
    let clockwise = match looks {
        Looks::Right => Some(if folds_back { forward } else { back }),
        Looks::Left => Some(if folds_back { back } else { forward }),
        Looks::Ahead => None,
    };
    let (f, b) = (degrees(forward), degrees(back));
    let known = norms()
        .iter()
        .any(|n| n.joint == joint && n.motion == forward);
    match clockwise {
        Some(motion) if known => {
            let range = if motion == forward { [-b, f] } else { [-f, b] };
            let text = format!("{{ joint = \"{joint}\", clockwise = \"{motion}\" }}");
            Decided::new(
                (text, range.map(|v| v + 0.0)),
                Sure::Likely,
                format!("the norm of the {joint}"),
            )
        }
        _ => {
            let most = f.max(b);
            let why = format!(
                "the norm of the {joint}, either way: the drawing does not tell which way it bends"
            );
            plain([-most, most], Sure::Guess, &why)
        }
    }
}

/// How far a limb turns before its outline comes out or daylight opens.
fn holds(view: &View, k: usize, on: usize) -> Option<Decided<(String, [f64; 2])>> {
    let (p, c) = (&view.parts[on].shown, &view.parts[k].shown);
    let pivot = view.parts[k].pivot.value;
    let joined = view.seams.iter().any(|s| s.parent == on && s.child == k);
    let least = plain(
        [-SWAYS, SWAYS],
        Sure::Guess,
        "nothing says how far it turns",
    );
    if view.overlaps.area(k, on) <= 0.0 {
        return Some(least);
    }
    // What lies on a part with all its line hides nothing: it turns as far as may be asked.
    if !joined {
        return Some(plain(
            [-45.0, 45.0],
            Sure::Guess,
            "nothing says how far it turns",
        ));
    }
    let Some(joint) = Joint::new(&p.silhouette, &c.silhouette, pivot, Hidden::BOTH) else {
        return Some(least);
    };
    let fits = |angle: f64| {
        let jut = joint.jut(angle, pivot).reach;
        jut <= HOLDS * joint.width && joint.gap(angle, pivot).width <= HOLDS * joint.width
    };
    let way = |sign: f64| {
        let mut far = 0.0;
        while far < MOST && fits(sign * (far + STEP)) {
            far += STEP;
        }
        far.max(STEP)
    };
    Some(plain(
        [-way(-1.0), way(1.0)],
        Sure::Likely,
        "as far as the drawing holds together",
    ))
}

/// Whether a part is a disc about its pivot.
fn is_round(part: &Part) -> bool {
    let reach = part.shown.silhouette.reach(part.pivot.value);
    let disc = std::f64::consts::PI * reach * reach;
    part.shown.area > 0.85 * disc
}
