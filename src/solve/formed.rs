//! Drawings of parts that a pose deforms: outlines are moved, and inks then stroked at their own width.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use super::detail::{Detail, Opening, kept};
use super::regions::ArtRegions;
use crate::art::{ClipShape, Gradient, Outline, PartArt, Shape, Source};
use crate::geom::Affine;
use crate::kinematics::{Form, deformed};

/// The drawing that a part shows, deformed.
#[derive(Debug)]
pub(super) struct Formed {
    pub form: Form,
    pub art: PartArt,
    /// By level of detail, and there what it opens at a seam.
    regions: Mutex<BTreeMap<u64, Arc<ArtRegions>>>,
    openings: Mutex<BTreeMap<(u64, usize), Arc<Opening>>>,
}

impl Formed {
    /// A drawing that goes on the canvas by `place`.
    pub fn new(form: Form, art: &PartArt, place: &Affine) -> Self {
        let shapes = art.shapes.iter().map(|shape| formed(shape, &form, place));
        Self {
            art: PartArt {
                shapes: shapes.collect(),
                file: art.file.clone(),
                id: art.id.clone(),
            },
            form,
            regions: Mutex::default(),
            openings: Mutex::default(),
        }
    }

    pub fn regions(&self, detail: &Detail) -> Arc<ArtRegions> {
        let level = detail.fine.scale.to_bits();
        kept(&self.regions, level, || {
            ArtRegions::new(&self.art, detail.fine)
        })
    }

    /// What it opens at a seam, made once.
    pub fn opening_or(
        &self,
        detail: &Detail,
        seam: usize,
        make: impl FnOnce() -> Opening,
    ) -> Arc<Opening> {
        kept(&self.openings, (detail.fine.scale.to_bits(), seam), make)
    }
}

fn formed(shape: &Shape, form: &Form, place: &Affine) -> Shape {
    let to_form = place.after(shape.to_canvas);
    let mut new = shape.clone();
    match &mut new.outline {
        Outline::Fill { path, .. } => {
            if let Some(moved) = deformed(path, form, &to_form, true) {
                *path = moved;
            }
        }
        Outline::Stroke { path, .. } => {
            if let Some(moved) = deformed(path, form, &to_form, false) {
                *path = moved;
            }
        }
        // Pixels and colours that change over the canvas are moved as a whole.
        Outline::Raster(raster) => {
            if let Some(back) = place.inverse() {
                let moved = back.after(form.whole()).after(*place);
                *raster = raster.moved(&moved);
                new.to_canvas = moved.after(new.to_canvas);
            }
        }
    }
    if let Some(back) = to_form.inverse() {
        let moved = back.after(form.whole()).after(to_form);
        let shifted = |gradient: &Gradient| {
            let transform = moved.after(Affine::from_skia(gradient.transform));
            Arc::new(Gradient {
                transform: transform.to_skia(),
                ..gradient.clone()
            })
        };
        match &mut new.source {
            Source::Solid(_) => {}
            Source::Linear(gradient, _) | Source::Radial(gradient, _) => {
                *gradient = shifted(gradient);
            }
        }
    }
    for ClipShape { paths } in &mut new.clips {
        for (path, _, to_canvas) in paths {
            if let Some(moved) = deformed(path, form, &place.after(*to_canvas), true) {
                *path = moved;
            }
        }
    }
    new
}
