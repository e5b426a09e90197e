//! `mirror_of`: left and right written once. A part takes from that of the other side what it does not say itself,
//! and what joins, masks or clothes that one is there on its side too.

use std::collections::HashSet;

use indexmap::IndexMap;

use super::drawings::Drawings;
use super::link::Parts;
use super::names;
use super::part::PartDraft;
use super::pivot::PivotDraft;
use super::points::PointDraft;
use super::reference::ArtRef;
use super::report::Report;
use super::seam::{SeamDraft, ZoneDraft};
use super::{Garment, Mask, PartId, Setting};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;
use crate::name::{SIDES, other_side};

/// What a part says that it mirrors.
#[derive(Clone, Copy, Debug)]
pub(super) struct MirrorDraft<'t> {
    pub of: &'t str,
    pub span: Span,
    /// What it says itself of art, replacements, parent, pivot, depth, limits, place, tip, points and look.
    pub said: [bool; 10],
}

/// Which parts mirror which.
pub(super) struct Sides {
    /// Of each part, the one of the other side.
    other: Vec<usize>,
    /// Of each part, whether another mirrors it.
    mirrored: Vec<bool>,
}

/// A point on the other side, in numbers as people write them.
pub(super) fn across([x, y]: Point, axis: f64) -> Point {
    [tidy(2.0 * axis - x), y]
}

/// Without the last digits that adding makes.
fn tidy(number: f64) -> f64 {
    let rounded = (number * 1e6).round() / 1e6;
    if rounded.is_finite() { rounded } else { number }
}

/// The same art, in its place on the other side.
fn place_across(place: Setting, axis: f64) -> Setting {
    Setting {
        turn: 0.0 - place.turn,
        shift: across(place.shift, axis),
        scale: [-place.scale[0], place.scale[1]],
        skew: place.skew.map(|angle| 0.0 - angle),
        ..place
    }
}

/// The drawing of the other side, where there is one.
fn drawn_there(art: &ArtRef, drawings: &mut Drawings<'_>) -> Option<ArtRef> {
    let document = drawings.open(&art.file, art.span)?;
    let there = |id: &String| {
        let id = other_side(id, &SIDES)?;
        let (before, after) = id.split_once('*').unwrap_or((&id, ""));
        let some = id.contains('*') && !document.between(before, after).is_empty();
        (some || document.has(&id)).then_some(id)
    };
    let ids: Option<Vec<String>> = art.ids.iter().map(there).collect();
    Some(ArtRef {
        ids: ids?,
        ..art.clone()
    })
}

/// Gives parts what they mirror.
pub(super) fn parts(
    drafts: &mut [PartDraft<'_>],
    axis: f64,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> Sides {
    let at = |name: &str| drafts.iter().position(|draft| draft.name == name);
    let mut other: Vec<usize> = (0..drafts.len())
        .map(|k| {
            let there = other_side(drafts[k].name, &SIDES);
            there.and_then(|name| at(&name)).unwrap_or(k)
        })
        .collect();
    let mut pairs: Vec<(usize, usize, MirrorDraft<'_>)> = Vec::new();
    for (own, draft) in drafts.iter().enumerate() {
        let Some(mirror) = draft.mirror else { continue };
        let of = at(mirror.of);
        let (message, hint) = match of {
            None => {
                let known = drafts.iter().map(|draft| draft.name);
                let none = "name the part of the other side";
                let hint = names::hint(mirror.of, known, none, report);
                let message = format!("unknown part {}", quoted(mirror.of));
                report.undeclared(Problem::error(mirror.span, message).hint(hint));
                continue;
            }
            Some(of) if of == own => (
                format!("part {} mirrors itself", quoted(draft.name)),
                "name the part of the other side".to_owned(),
            ),
            Some(of) => match drafts[of].mirror {
                Some(further) => (
                    format!("part {} is a mirror of another itself", quoted(mirror.of)),
                    format!("write it in full, or name {}", quoted(further.of)),
                ),
                None => {
                    pairs.push((own, of, mirror));
                    continue;
                }
            },
        };
        report.push(Problem::error(mirror.span, message).hint(hint));
    }
    let mut mirrored = vec![false; drafts.len()];
    for &(own, of, _) in &pairs {
        (other[own], mirrored[of]) = (of, true);
        // Of several that mirror one the first is its other side.
        if !pairs
            .iter()
            .any(|&(first, same, _)| same == of && first < own)
        {
            other[of] = own;
        }
    }
    let sides = Sides { other, mirrored };
    for (own, of, mirror) in pairs {
        take(drafts, (own, of), mirror, (&sides, axis), drawings, report);
    }
    sides
}

/// What a part does not say it takes from the other side.
fn take<'t>(
    drafts: &mut [PartDraft<'t>],
    (own, of): (usize, usize),
    mirror: MirrorDraft<'t>,
    (sides, axis): (&Sides, f64),
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) {
    let [
        art,
        replacements,
        parent,
        pivot,
        depth,
        limits,
        place,
        tip,
        points,
        look,
    ] = mirror.said;
    if !art && drafts[of].no_art {
        drafts[own].art = None;
        drafts[own].drawn = !drafts[own].replacements.is_empty();
    }
    let name_of = |name: &str| {
        let at = drafts.iter().position(|draft| draft.name == name)?;
        Some(drafts[sides.other[at]].name)
    };
    let twin = &drafts[of];
    let first = twin.replacements.values().flatten().next();
    let there = twin.art.as_ref().or(first);
    let there = there.and_then(|art| drawn_there(art, drawings));
    // By its own name in the drawing, by its own words, or as the other side's is called.
    let is_drawn = art || drafts[own].art.is_some() || there.is_some();
    let new_art = match (&drafts[own].art, &twin.art) {
        (None, Some(_)) if !art && is_drawn => there,
        (None, Some(theirs)) if !art => Some(theirs.clone()),
        (own, _) => own.clone(),
    };
    let mut new_replacements = drafts[own].replacements.clone();
    if !replacements && !is_drawn {
        new_replacements.clone_from(&twin.replacements);
    } else if !replacements {
        for (name, theirs) in &twin.replacements {
            let drawn = theirs.as_ref().and_then(|art| drawn_there(art, drawings));
            if let (None, Some(theirs)) = (&drawn, theirs) {
                let message = format!(
                    "part {} has its own drawing, but none for {}, which is {} there",
                    quoted(drafts[own].name),
                    quoted(name),
                    quoted(&theirs.ids.join(", "))
                );
                let hint = "draw it for this side too, or write \"replacements\" here";
                report.push(Problem::error(mirror.span, message).hint(hint));
            }
            new_replacements.insert(name.clone(), drawn);
        }
    }
    let mut there = |point: &PivotDraft<'t>| {
        let across_it = PivotDraft::Across {
            of: twin.name,
            axis,
        };
        match point {
            PivotDraft::At(point) => PivotDraft::At(across(*point, axis)),
            PivotDraft::Mark(mark) => {
                drawn_there(mark, drawings).map_or(across_it, PivotDraft::Mark)
            }
            PivotDraft::Of(name, span) => match name_of(name) {
                Some(there) if there != *name => PivotDraft::Of(there, *span),
                _ => across_it,
            },
            PivotDraft::Shared if is_drawn && new_art.is_some() => PivotDraft::Shared,
            _ => across_it,
        }
    };
    let new_pivot = there(&twin.pivot);
    let new_look = twin.look;
    let new_tip = twin.tip.as_ref().map(there);
    let mut new_points = IndexMap::new();
    for (name, point) in &twin.points {
        let there = match point {
            PointDraft::At(point) => PointDraft::At(across(*point, axis)),
            PointDraft::Mark(mark) if points => PointDraft::Mark(mark.clone()),
            PointDraft::Mark(mark) => {
                let Some(there) = drawn_there(mark, drawings) else {
                    let what = format!("point {} of {}", quoted(name), quoted(drafts[own].name));
                    let message = format!("{what} is a mark that is not drawn for its side");
                    let hint = "draw it for this side too, or write \"points\" here";
                    report.push(Problem::error(mirror.span, message).hint(hint));
                    continue;
                };
                PointDraft::Mark(there)
            }
        };
        new_points.insert(name.clone(), there);
    }
    let new_parent = twin
        .parent
        .map(|(name, span)| (name_of(name).unwrap_or(name), span));
    let new_limits = twin.limits.map(|[least, most]| [0.0 - most, 0.0 - least]);
    let new_place = if is_drawn {
        drafts[own].place
    } else {
        place_across(twin.place, axis)
    };
    let new_depth = twin.depth;
    let (drawn, foreshortened) = (twin.space.drawn, twin.space.foreshortened.clone());

    let draft = &mut drafts[own];
    draft.art = new_art;
    draft.replacements = new_replacements;
    draft.drawn |= draft.art.is_some() || !draft.replacements.is_empty();
    if !parent {
        draft.parent = new_parent;
    }
    if !pivot {
        draft.pivot = new_pivot;
    }
    if !tip {
        draft.tip = new_tip;
    }
    if !points {
        draft.points = new_points;
    }
    if !look {
        draft.look = new_look;
    }
    // A side is the other one, which the name says.
    draft.space.drawn = draft.space.drawn.or(drawn);
    if draft.space.foreshortened.is_empty() {
        draft.space.foreshortened = foreshortened;
    }
    if !depth {
        draft.depth = new_depth;
    }
    if !limits {
        draft.limits = new_limits;
    }
    if !place {
        draft.place = new_place;
    }
}

/// Entries of a table by what they are about, and what they are on the other side.
struct Kind<T> {
    name: &'static str,
    /// What the two sides have one entry of each: the parts.
    about: fn(&T) -> Vec<PartId>,
    /// All parts that it names.
    all: fn(&T) -> Vec<PartId>,
    called: fn(&T) -> (&str, Span),
}

impl Sides {
    fn there(&self, part: PartId) -> PartId {
        PartId::of(self.other[part.at()])
    }

    /// Puts after each entry that names a mirrored part the one of the other side, unless that is written or left out.
    fn add<T>(
        &self,
        kind: &Kind<T>,
        entries: Vec<T>,
        left_out: &[(&str, Span)],
        (parts, report): (&Parts<'_>, &mut Report),
        mut made: impl FnMut(&T, String, &mut Report) -> T,
    ) -> Vec<T> {
        let sorted = |mut parts: Vec<PartId>| {
            parts.sort_unstable();
            parts
        };
        let about: HashSet<_> = entries.iter().map(|e| sorted((kind.about)(e))).collect();
        let written: HashSet<String> = entries
            .iter()
            .map(|e| (kind.called)(e).0.to_owned())
            .collect();
        let mut would_be: HashSet<String> = HashSet::new();
        let mut out = Vec::with_capacity(entries.len());
        for entry in entries {
            let touched = (kind.all)(&entry);
            let touched = touched.iter().find(|part| self.mirrored[part.at()]);
            let other = touched.map(|&part| {
                let there = (kind.about)(&entry)
                    .into_iter()
                    .map(|part| self.there(part));
                let name = name_there((kind.called)(&entry).0, parts.name(self.there(part)));
                (name, sorted(there.collect()))
            });
            let made = other.and_then(|(name, there)| {
                let own = about.contains(&there) || written.contains(&name);
                let out = left_out.iter().any(|(left, _)| *left == name);
                would_be.extend((!own).then(|| name.clone()));
                (!own && !out).then(|| made(&entry, name, report))
            });
            out.push(entry);
            out.extend(made);
        }
        for (name, span) in left_out {
            if !would_be.contains(*name) {
                let what = format!("no mirrored {} {}", kind.name, quoted(name));
                let problem = Problem::error(*span, format!("there is {what} to leave out"));
                let known = would_be.iter().map(String::as_str);
                let hint = names::hint(name, known, "take this line out", report);
                report.push(problem.hint(hint));
            }
        }
        out
    }

    /// Seams, with those of the other side.
    pub fn seams(
        &self,
        seams: Vec<SeamDraft>,
        left_out: &[(&str, Span)],
        parts: &Parts<'_>,
        drawings: &mut Drawings<'_>,
        report: &mut Report,
    ) -> Vec<SeamDraft> {
        let kind = Kind::<SeamDraft> {
            name: "seam",
            about: |seam| vec![seam.parent, seam.child],
            all: |seam| vec![seam.parent, seam.child],
            called: |seam| (&seam.name, seam.span),
        };
        self.add(
            &kind,
            seams,
            left_out,
            (parts, report),
            |seam, name, report| {
                let mut art = |what: &str, art: &ArtRef| {
                    let there = drawn_there(art, drawings);
                    if there.is_none() {
                        let id = quoted(&art.ids.join(", "));
                        let message =
                            format!("{what} {id} is not drawn for seam {}", quoted(&name));
                        let hint = format!("draw it for this side too, or write [seam.{name}]");
                        report.push(Problem::error(art.span, message).hint(hint));
                    }
                    there
                };
                let zone = match &seam.zone {
                    ZoneDraft::Auto => ZoneDraft::Auto,
                    ZoneDraft::Radius(radius) => ZoneDraft::Radius(*radius),
                    ZoneDraft::Art(zone) => {
                        art("zone", zone).map_or(ZoneDraft::Auto, ZoneDraft::Art)
                    }
                };
                let patch = seam.patch.as_ref().and_then(|patch| art("patch", patch));
                let (parent, child) = (self.there(seam.parent), self.there(seam.child));
                let turned = parts.carries(child, parent);
                let (parent, child) = if turned {
                    (child, parent)
                } else {
                    (parent, child)
                };
                SeamDraft {
                    span: seam.span,
                    opens: seam.opens,
                    name,
                    parent,
                    child,
                    zone,
                    patch,
                }
            },
        )
    }

    /// Masks, with those of the other side.
    pub fn masks(
        &self,
        masks: Vec<Mask>,
        left_out: &[(&str, Span)],
        parts: &Parts<'_>,
        report: &mut Report,
    ) -> Vec<Mask> {
        let kind = Kind::<Mask> {
            name: "mask",
            about: |mask| vec![mask.part],
            all: |mask| {
                std::iter::once(mask.part)
                    .chain(mask.of.iter().copied())
                    .collect()
            },
            called: |mask| (&mask.name, mask.span),
        };
        self.add(&kind, masks, left_out, (parts, report), |mask, name, _| {
            Mask {
                name,
                part: self.there(mask.part),
                of: mask.of.iter().map(|&part| self.there(part)).collect(),
                ..mask.clone()
            }
        })
    }

    /// Garments, with those of the other side.
    pub fn garments(
        &self,
        garments: Vec<Garment>,
        left_out: &[(&str, Span)],
        parts: &mut Parts<'_>,
        report: &mut Report,
    ) -> Vec<Garment> {
        let kind = Kind::<Garment> {
            name: "garment",
            about: |garment| vec![garment.part],
            all: |garment| {
                std::iter::once(garment.part)
                    .chain(garment.on.iter().copied())
                    .collect()
            },
            called: |garment| (&garment.name, garment.span),
        };
        let all = self.add(
            &kind,
            garments,
            left_out,
            (parts, report),
            |garment, name, _| Garment {
                name,
                part: self.there(garment.part),
                on: garment.on.iter().map(|&part| self.there(part)).collect(),
                ..garment.clone()
            },
        );
        for garment in &all {
            parts.worn[garment.part.at()].get_or_insert(garment.span);
        }
        all
    }
}

/// What something is called on the other side: with its side changed, or, where its name has none, with the side of
/// the part `there` at its end.
fn name_there(name: &str, there: &str) -> String {
    other_side(name, &SIDES).unwrap_or_else(|| {
        let mut words = there.rsplit('_');
        let side = words.find(|word| SIDES.iter().flatten().any(|side| side == word));
        format!("{name}_{}", side.unwrap_or(there))
    })
}
