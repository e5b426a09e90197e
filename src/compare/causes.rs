//! By cause: which edits changed which poses.

use std::collections::{BTreeMap, BTreeSet};

use super::edits::{Edit, Reach};
use super::pixels::Pixel;
use super::shot::{Shot, alike};
use super::{Cause, PoseCause};
use crate::cast::swatch_of;

/// An edit found in one pose, with the changed pixels that it may explain.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The edit.
    pub edit: Edit,
    /// The parts that it touches here.
    pub parts: Vec<String>,
    /// Changed pixels that these owned or own.
    pub pixels: u64,
    /// Of all changed pixels, 0 to 1.
    pub share: f64,
}

/// The edits that changed this pose, the most telling first. An edit counts where it reaches the pose
/// at all (its part went elsewhere, its drawing shows, ...) and owns changed pixels there.
///
/// A pixel belongs to the part that covers most of it, so that the last sliver of a change may be
/// another part's alone: where no edit is found, those count whose parts come near.
#[must_use]
pub fn found(edits: &[Edit], before: &Shot<'_>, after: &Shot<'_>, pixels: &[Pixel]) -> Vec<Found> {
    let plain = owned(edits, before, after, pixels, 0);
    if plain.is_empty() {
        return owned(edits, before, after, pixels, NEAR);
    }
    plain
}

/// What comes near, pixels.
const NEAR: usize = 3;

fn owned(
    edits: &[Edit],
    before: &Shot<'_>,
    after: &Shot<'_>,
    pixels: &[Pixel],
    near: usize,
) -> Vec<Found> {
    // Changed pixels by owner then and now.
    let mut pairs: BTreeMap<(Option<&str>, Option<&str>), u64> = BTreeMap::new();
    let width = before.pose.width.max(1) as usize;
    let height = pixels.len() / width;
    for (at, _) in pixels
        .iter()
        .enumerate()
        .filter(|(_, p)| **p == Pixel::Changed)
    {
        for at in around(at, near, width, height) {
            let owners = (before.owner(at), after.owner(at));
            *pairs.entry(owners).or_default() += 1;
        }
    }
    let total: u64 = pairs.values().sum();
    let mut out: Vec<Found> = Vec::new();
    for edit in edits {
        let Some(parts) = touched(edit, before, after) else {
            continue;
        };
        let owners = dressed(&parts, before, after);
        let owned = |owner: &Option<&str>| owner.is_some_and(|o| owners.contains(o));
        // Near by, the two owners are no longer the change's own.
        let order = near == 0 && matches!(edit.reach, Reach::Order(_));
        let explained: u64 = pairs
            .iter()
            .filter(|((then, now), _)| {
                (edit.reach == Reach::All || owned(then) || owned(now)) && (!order || then != now)
            })
            .map(|(_, n)| n)
            .sum();
        if explained > 0 {
            out.push(Found {
                edit: edit.clone(),
                parts: parts.iter().map(|p| (*p).to_owned()).collect(),
                pixels: explained,
                share: explained as f64 / total.max(1) as f64,
            });
        }
    }
    // Of two that explain as much, the one about fewer parts says more.
    out.sort_by(|a, b| {
        (b.pixels.cmp(&a.pixels))
            .then(a.parts.len().cmp(&b.parts.len()))
            .then(a.edit.subject.cmp(&b.edit.subject))
    });
    out
}

/// Parts and what is worn on them: it covers their edges and inks, and owns the pixels there.
fn dressed<'a>(
    parts: &BTreeSet<&'a str>,
    before: &Shot<'a>,
    after: &Shot<'a>,
) -> BTreeSet<&'a str> {
    let rigs = [before.rig, after.rig].into_iter();
    let worn = rigs.flat_map(|rig| rig.garments.values());
    let worn = worn.filter(|g| g.on.iter().any(|host| parts.contains(host.as_str())));
    let mut owners = parts.clone();
    owners.extend(worn.map(|g| g.part.as_str()));
    owners
}

/// Changed pixels that no edit found comes near: what `whole` explains, which may change anything
/// anywhere. `None` where there are none.
#[must_use]
pub fn unexplained(
    whole: Edit,
    found: &[Found],
    before: &Shot<'_>,
    after: &Shot<'_>,
    pixels: &[Pixel],
) -> Option<Found> {
    if found.iter().any(|f| f.edit.reach == Reach::All) {
        return None;
    }
    let parts = found.iter().flat_map(|f| &f.parts);
    let parts: BTreeSet<&str> = parts.map(String::as_str).collect();
    let owners = dressed(&parts, before, after);
    let explained = |at: usize| {
        let both = [before.owner(at), after.owner(at)];
        both.into_iter().flatten().any(|o| owners.contains(o))
    };
    let width = before.pose.width.max(1) as usize;
    let changed = pixels.iter().enumerate();
    let changed = changed.filter(|(_, p)| **p == Pixel::Changed);
    let (mut all, mut left) = (0_u64, 0_u64);
    for (at, _) in changed {
        all += 1;
        let mut near = around(at, NEAR, width, pixels.len() / width);
        left += u64::from(!near.any(explained));
    }
    (left > 0).then(|| Found {
        edit: whole,
        parts: Vec::new(),
        pixels: left,
        share: left as f64 / all as f64,
    })
}

/// Pixels that lie near one, itself among them.
fn around(at: usize, near: usize, width: usize, height: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (at % width, at / width);
    let columns = x.saturating_sub(near)..=(x + near).min(width - 1);
    let rows = y.saturating_sub(near)..=(y + near).min(height - 1);
    rows.flat_map(move |y| columns.clone().map(move |x| y * width + x))
}

/// The parts that an edit touches in a pose; `None` when it does not reach the pose.
fn touched<'a>(edit: &Edit, before: &Shot<'a>, after: &Shot<'a>) -> Option<BTreeSet<&'a str>> {
    let all = |part: &str| -> BTreeSet<&'a str> {
        let carried = before.carried(part).into_iter().chain(after.carried(part));
        carried.collect()
    };
    let everyone = || before.rig.parts.keys().chain(after.rig.parts.keys());
    let known = |name: &str| everyone().find(|n| *n == name).map(String::as_str);
    let shows = |shot: &Shot<'a>, part: &str, drawing: &str| shot.drawing(part) == Some(drawing);
    match &edit.reach {
        Reach::Transform(part) => {
            let moved = !alike(&before.set(part), &after.set(part))
                || (before.drawing(part).is_some()
                    && !alike(&before.art_world(part), &after.art_world(part))
                    && edit.subject.ends_with(".place"));
            let mut parts = if moved { all(part) } else { BTreeSet::new() };
            // A seam's zone lies about the pivot of the part that is carried.
            if edit.subject.ends_with(".pivot") {
                let seams = [before.rig, after.rig]
                    .into_iter()
                    .flat_map(|r| r.seams.values());
                for seam in seams.filter(|s| s.parts[1] == *part) {
                    parts.extend(seam.parts.iter().map(String::as_str));
                }
            }
            (!parts.is_empty()).then_some(parts)
        }
        Reach::Order(part) => {
            let parts = all(part);
            let (then, now) = (before.ranks(), after.ranks());
            let flips = parts.iter().any(|p| {
                then.keys().any(|other| {
                    let of =
                        |ranks: &BTreeMap<&str, usize>| Some(ranks.get(p)?.cmp(ranks.get(other)?));
                    !parts.contains(other)
                        && matches!((of(&then), of(&now)), (Some(a), Some(b)) if a != b)
                })
            });
            flips.then_some(parts)
        }
        Reach::Shows(part, drawings) => {
            let shown = drawings
                .iter()
                .any(|d| shows(before, part, d) || shows(after, part, d));
            let other = before.drawing(part) != after.drawing(part);
            (shown && other).then(|| known(part).into_iter().collect())
        }
        Reach::Drawing(drawing) => {
            let mut parts: BTreeSet<&str> = everyone()
                .filter(|p| shows(before, p, drawing) || shows(after, p, drawing))
                .map(String::as_str)
                .collect();
            for rig in [before.rig, after.rig] {
                for seam in rig.seams.values() {
                    if seam.patch.as_ref() == Some(drawing) || &seam.zone == drawing {
                        parts.extend(seam.parts.iter().map(String::as_str));
                    }
                }
            }
            (!parts.is_empty()).then_some(parts)
        }
        Reach::Swatch(palette, _) => {
            let first = after.rig.palettes.keys().next();
            let used = [before.palette(), after.palette()].contains(&palette.as_str());
            if !used && first != Some(palette) {
                return None;
            }
            let parts: BTreeSet<&str> = everyone()
                .filter(|p| before.colours(p) != after.colours(p))
                .filter(|p| uses(edit, before, p) || uses(edit, after, p))
                .map(String::as_str)
                .collect();
            (!parts.is_empty()).then_some(parts)
        }
        Reach::Parts(parts) => Some(parts.iter().filter_map(|p| known(p)).collect()),
        Reach::Presence(part) => Some(all(part)),
        Reach::Limb(part) => {
            let above = after.rig.upwards(part);
            let turned = above.filter(|p| !alike(&before.set(p), &after.set(p)));
            let parts: BTreeSet<&str> = turned.flat_map(all).collect();
            (!parts.is_empty()).then_some(parts)
        }
        Reach::All => Some(everyone().map(String::as_str).collect()),
        Reach::Nothing => None,
    }
}

/// True when the drawing of a part, or a trim on it, takes its colour from the edited swatch.
fn uses(edit: &Edit, shot: &Shot<'_>, part: &str) -> bool {
    let Reach::Swatch(palette, swatch) = &edit.reach else {
        return false;
    };
    let colour = shot.rig.palettes.get(palette).and_then(|p| p.get(swatch));
    let drawn = Some(&shot.rig.drawn).filter(|drawn| !drawn.is_empty());
    let first = drawn.or_else(|| shot.rig.palettes.values().next());
    let first = first.and_then(|p| p.get(swatch));
    let drawing = shot.drawing(part).and_then(|d| shot.rig.drawings.get(d));
    let named = |id: &str| {
        let all = shot.rig.palettes.get(palette)?.keys();
        swatch_of(id, all.map(String::as_str))
    };
    let drawn = drawing.is_some_and(|drawing| {
        let mut words = drawing.colours.iter().flat_map(|c| c.split(' '));
        words.any(|word| {
            Some(word) == first.map(String::as_str)
                || Some(word) == colour.map(String::as_str)
                || word.strip_prefix("swatch-").and_then(named) == Some(swatch.as_str())
        })
    });
    drawn
        || shot
            .rig
            .garments
            .values()
            .any(|g| g.trim.as_ref() == Some(swatch) && g.on.iter().any(|host| host == part))
}

/// Gathers what was found in all poses: the edits that touch the most poses first, then those that
/// touched none. Returns for each pose, in order, its causes.
#[must_use]
pub fn ranked<'a>(
    poses: impl IntoIterator<Item = (&'a str, &'a [Found])> + Clone,
    unseen: &[Edit],
) -> (Vec<Cause>, Vec<Vec<PoseCause>>) {
    let mut by_subject: BTreeMap<&str, Cause> = BTreeMap::new();
    for (pose, found) in poses.clone() {
        for one in found {
            let cause = by_subject
                .entry(&one.edit.subject)
                .or_insert_with(|| blank(&one.edit));
            cause.poses.push(pose.to_owned());
            cause.pixels += one.pixels;
            for part in &one.parts {
                if !cause.parts.contains(part) && one.edit.reach != Reach::All {
                    cause.parts.push(part.clone());
                }
            }
        }
    }
    for edit in unseen {
        by_subject
            .entry(&edit.subject)
            .or_insert_with(|| blank(edit));
    }
    let mut causes: Vec<Cause> = by_subject.into_values().collect();
    causes.sort_by(|a, b| {
        (b.poses.len().cmp(&a.poses.len()))
            .then(b.pixels.cmp(&a.pixels))
            .then(a.parts.len().cmp(&b.parts.len()))
            .then(a.subject.cmp(&b.subject))
    });
    let place: BTreeMap<&str, usize> = causes
        .iter()
        .enumerate()
        .map(|(at, c)| (c.subject.as_str(), at))
        .collect();
    let of_poses = poses
        .into_iter()
        .map(|(_, found)| {
            let causes = found.iter().filter_map(|one| {
                Some(PoseCause {
                    cause: *place.get(one.edit.subject.as_str())?,
                    share: one.share,
                })
            });
            causes.collect()
        })
        .collect();
    (causes, of_poses)
}

fn blank(edit: &Edit) -> Cause {
    // The part that was edited comes first among those it reaches.
    let subject = match &edit.reach {
        Reach::Transform(part)
        | Reach::Order(part)
        | Reach::Shows(part, _)
        | Reach::Limb(part)
        | Reach::Presence(part) => vec![part.clone()],
        Reach::Parts(parts) => {
            let mut unique: Vec<String> = Vec::new();
            for part in parts {
                if !unique.contains(part) {
                    unique.push(part.clone());
                }
            }
            unique
        }
        _ => Vec::new(),
    };
    Cause {
        subject: edit.subject.clone(),
        kind: edit.kind,
        text: edit.text.clone(),
        view: edit.view.clone(),
        parts: subject,
        poses: Vec::new(),
        pixels: 0,
    }
}
