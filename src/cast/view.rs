//! One angle of a member: parts, seams, masks, garments, and what is said for its sheets.

use std::path::{Path, PathBuf};

use indexmap::{IndexMap, IndexSet};

use super::check::CheckDraft;
use super::drawings::Drawings;
use super::fields::Fields;
use super::guides::{Guides, guides};
use super::link::Parts;
use super::part::{PartDraft, parts};
use super::pivot::{self, Pivot};
use super::points::{self, PointDraft};
use super::reference::{ArtRef, Base};
use super::report::Report;
use super::seam::{SeamDraft, ZoneDraft, seams};
use super::tables::left_out;
use super::{
    CheckLimits, Drawing, Garment, Mask, NameId, Palette, Part, PartId, Seam, Setting, View, Zone,
    garment, mask, mirror, setting, tip,
};
use crate::diag::Problem;
use crate::geom::Point;

/// A view whose drawings are not loaded.
#[derive(Debug)]
pub(super) struct ViewDraft {
    name: Option<String>,
    drawing: Option<PathBuf>,
    points: Vec<IndexMap<String, PointDraft>>,
    parts: Vec<(Part, Option<ArtRef>, Vec<Option<ArtRef>>)>,
    pivots: Vec<Pivot>,
    tips: Vec<Option<Pivot>>,
    names: Vec<String>,
    seams: Vec<SeamDraft>,
    masks: Vec<Mask>,
    garments: Vec<Garment>,
    guides: Guides,
    /// Where its drawing goes on the canvas.
    place: Setting,
    /// What the view's own file says of `layfig check`.
    pub check: CheckDraft,
}

/// What views share.
pub(super) struct Shared<'a> {
    /// The canvas, for the pivots of roots.
    pub canvas: Point,
    pub palettes: &'a [Palette],
    /// The names of parts over all views so far.
    pub names: IndexSet<String>,
}

/// Reads the parts, seams, masks and garments of a file; `folder` is its own, relative to the
/// member's.
pub(super) fn view(
    name: Option<String>,
    root: &mut Fields<'_>,
    folder: &Path,
    shared: &mut Shared<'_>,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> ViewDraft {
    let drawing = drawings.file(root, "drawing", folder, report);
    let base = Base {
        folder,
        drawing: drawing.as_ref().map(|(file, _)| file.as_path()),
    };
    if let Some((file, asked)) = &drawing {
        drawings.open(file, *asked);
    }
    let place = root
        .take("place")
        .map_or(Setting::REST, |value| setting::place(&value, report));
    let [width, height] = shared.canvas;
    let axis = root.number("axis", report).unwrap_or(width / 2.0);
    let mut drafts = parts(root, base, place, drawings, report);
    let sides = mirror::parts(&mut drafts, axis, drawings, report);
    if root.lacks("part") {
        let problem = Problem::error(root.span, "no parts are declared")
            .hint("write [part.torso] and under it art = \"front.svg#torso\"");
        report.missing(problem);
    }
    let mut parts = Parts::link(&drafts, report);
    let [no_garments, no_seams, no_masks] =
        ["garment", "seam", "mask"].map(|kind| left_out(root, kind, report));
    let garments = garment::garments(root, &mut parts, shared.palettes, report);
    let garments = sides.garments(garments, &no_garments, &mut parts, report);
    let seams = seams(root, &parts, base, report);
    let seams = sides.seams(seams, &no_seams, &parts, drawings, report);
    let masks = mask::masks(root, &parts, report);
    let masks = sides.masks(masks, &no_masks, &parts, report);
    let guides = guides(root, &drafts, &parts, report);
    let middle = [width / 2.0, height / 2.0];
    let pivots = parts.pivots(&drafts, middle, report);
    let tips = parts.tips(&drafts, report);
    for mark in pivots.iter().chain(tips.iter().flatten()) {
        if let Pivot::Mark(mark) = mark {
            let file = drawings.folder.join(&mark.file);
            drawings.library.leave_out(&file, &mark.ids[0]);
        }
    }
    points::leave_out(&drafts, drawings);
    let names = drafts.iter().map(|d| d.name.to_owned()).collect();
    ViewDraft {
        name,
        points: drafts.iter().map(|d| d.points.clone()).collect(),
        drawing: drawing.map(|(file, _)| file),
        parts: drafts
            .into_iter()
            .zip(&parts.parents)
            .map(|(draft, parent)| resolve(draft, *parent, shared))
            .collect(),
        pivots,
        tips,
        names,
        seams,
        masks,
        garments,
        guides,
        place,
        check: CheckDraft::default(),
    }
}

fn resolve(
    draft: PartDraft<'_>,
    parent: Option<PartId>,
    shared: &mut Shared<'_>,
) -> (Part, Option<ArtRef>, Vec<Option<ArtRef>>) {
    let (name, _) = shared.names.insert_full(draft.name.to_owned());
    let (names, replacements): (Vec<_>, Vec<_>) = draft.replacements.into_iter().unzip();
    let part = Part {
        name: NameId::of(name),
        span: draft.span,
        art: Drawing::Empty,
        replacements: names.into_iter().map(|n| (n, Drawing::Empty)).collect(),
        parent,
        pivot: [0.0, 0.0],
        depth: draft.depth,
        limits: draft.limits,
        place: draft.place,
        space: draft.space,
        points: IndexMap::new(),
        look: draft.look,
        tip: None,
        end: None,
    };
    (part, draft.art, replacements)
}

impl ViewDraft {
    /// Loads the drawings; those that cannot be loaded are reported.
    pub fn load(self, drawings: &mut Drawings<'_>) -> View {
        let mut load = |art: &ArtRef| drawings.load(art);
        let mut drawing = |art: Option<ArtRef>| {
            art.and_then(|art| load(&art))
                .map_or(Drawing::Empty, Drawing::Art)
        };
        let mut missing = Vec::with_capacity(self.parts.len());
        let mut parts: Vec<Part> = self
            .parts
            .into_iter()
            .map(|(mut part, art, replacements)| {
                let asked = art.is_some();
                part.art = drawing(art);
                missing.push(asked && part.art == Drawing::Empty);
                for (own, art) in part.replacements.values_mut().zip(replacements) {
                    *own = drawing(art);
                }
                part
            })
            .collect();
        let seams: Vec<Seam> = self
            .seams
            .into_iter()
            .map(|seam| Seam {
                name: seam.name,
                span: seam.span,
                parent: seam.parent,
                child: seam.child,
                zone: match seam.zone {
                    ZoneDraft::Auto => Zone::Auto,
                    ZoneDraft::Radius(radius) => Zone::Radius(radius),
                    ZoneDraft::Art(art) => load(&art).map_or(Zone::Auto, Zone::Art),
                },
                opens: seam.opens,
                patch: seam.patch.and_then(|art| load(&art)),
            })
            .collect();
        let names: Vec<&str> = self.names.iter().map(String::as_str).collect();
        pivot::settle(
            &mut parts,
            self.pivots,
            (&names, &missing),
            &self.place,
            drawings,
        );
        for (part, points) in parts.iter_mut().zip(self.points) {
            part.points = points::settle(points, &self.place, drawings);
        }
        tip::settle(&mut parts, self.tips, &seams, &self.place, drawings);
        let mut guides = self.guides;
        for length in &mut guides.measures {
            for (point, of) in length.along.iter_mut().zip(&length.of) {
                if let Some(part) = of {
                    *point = parts[part.at()].pivot;
                }
            }
        }
        View {
            name: self.name,
            drawing: self.drawing,
            ground: None,
            parts,
            seams,
            masks: self.masks,
            garments: self.garments,
            facing: None,
            shortest: 0.0,
            guides,
            check: CheckLimits::default(),
            check_parts: Vec::new(),
            by_name: Vec::new(),
        }
    }
}
