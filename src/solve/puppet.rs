//! One view of one member, prepared once for all its poses.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

use super::error::SolveError;
use super::figure::{Figure, Posed};
use super::formed::Formed;
use super::layers::layers;
use super::model::{Model, Puppet};
use crate::art::{ArtId, Library, Outline, PartArt, Rgb, Role, Source};
use crate::cast::{Member, Part, PartId};
use crate::geom::Affine;
use crate::kinematics;
use crate::pose::{ResolvedPose, depth};

/// Numbers beyond this leave the picture by so far that they are mistakes.
const FAR: f64 = 1e7;

impl Puppet {
    /// Prepares a view: everything that no pose changes. `None` where the member has no such view, or its
    /// drawings are in another library.
    #[must_use]
    pub fn new(member: Arc<Member>, view: usize, library: &Library) -> Option<Self> {
        let known = |id| library.get(id).is_some();
        if !member.views.get(view)?.drawings().all(known) {
            return None;
        }
        let parts = &member.views[view].parts;
        let order = kinematics::parents_first(parts);
        let place = parts.iter().map(|p| p.place.in_place()).collect();
        let mut worn = vec![false; parts.len()];
        for garment in &member.views[view].garments {
            worn[garment.part.at()] = true;
        }
        let mut seams = vec![Vec::new(); parts.len()];
        for (k, seam) in member.views[view].seams.iter().enumerate() {
            seams[seam.parent.at()].push(k);
            seams[seam.child.at()].push(k);
        }
        let recolour = colour_maps(&member);
        let art: Vec<Arc<PartArt>> = library.all().to_vec();
        let rasters = recolour
            .iter()
            .map(|map| {
                let mut out = BTreeMap::new();
                if map.is_empty() {
                    return out;
                }
                for (a, part) in art.iter().enumerate() {
                    for (s, shape) in part.shapes.iter().enumerate() {
                        if let Outline::Raster(raster) = &shape.outline {
                            out.insert(
                                (ArtId(u32::try_from(a).unwrap_or(u32::MAX)), s),
                                raster.recoloured(map).map_err(|why| why.to_string()),
                            );
                        }
                    }
                }
                out
            })
            .collect();
        let radii = member.views[view]
            .seams
            .iter()
            .map(|_| OnceLock::new())
            .collect();
        Some(Self(Arc::new(Model {
            view,
            place,
            order,
            worn,
            seams,
            recolour,
            opaque: art.iter().map(|a| is_opaque(a)).collect(),
            whole: art
                .iter()
                .map(|a| {
                    [Role::Ink, Role::Paint]
                        .iter()
                        .all(|r| a.shapes.iter().any(|s| s.role == *r))
                })
                .collect(),
            art,
            rasters,
            radii,
            details: Mutex::default(),
            member,
        })))
    }

    /// The member.
    #[must_use]
    pub fn member(&self) -> &Member {
        &self.0.member
    }

    /// Which of the member's views.
    #[must_use]
    pub fn view(&self) -> usize {
        self.0.view
    }

    /// A part's least and greatest turn, degrees; `None` for one without limits, and for a name that this view has
    /// not.
    #[must_use]
    pub fn limits(&self, part: &str) -> Option<[f64; 2]> {
        let parts = &self.0.view().parts;
        let named = |p: &&Part| self.0.name_of(p.name) == part;
        parts.iter().find(named)?.limits
    }

    /// The figure in a pose.
    ///
    /// # Errors
    ///
    /// When the pose is of another view or member, its depth rules contradict each other, its numbers leave the
    /// finite, or a drawing cannot take the colours of its palette.
    pub fn solve(&self, pose: &ResolvedPose) -> Result<Figure, SolveError> {
        let model = &self.0;
        let view = model.view();
        if !model.fits(pose) {
            return Err(SolveError::Foreign);
        }
        let root = if pose.mirror {
            Affine {
                a: -1.0,
                e: model.member.canvas[0],
                ..Affine::IDENTITY
            }
        } else {
            Affine::IDENTITY
        };
        let placed = kinematics::placed(view, &model.order, &pose.parts, root);
        let sane = |w: &Affine| {
            let all = [w.a, w.b, w.c, w.d, w.e, w.f];
            all.iter().all(|v| v.is_finite() && v.abs() <= FAR)
        };
        if let Some(part) = placed.iter().position(|p| !sane(&p.world)) {
            return Err(SolveError::OutOfReach(PartId::of(part)));
        }
        let order = self.depth_order(pose)?;
        let posed = placed.iter().zip(&pose.parts).map(|(placed, part)| Posed {
            world: placed.world,
            art: part.drawing.art(),
        });
        let formed = placed.iter().zip(&pose.parts).zip(&model.place);
        let formed = formed.map(|((placed, part), place)| {
            let art = &model.art[part.drawing.art()?.at()];
            Some(Arc::new(Formed::new(placed.form.clone()?, art, place)))
        });
        let mut figure = Figure::new(
            Arc::clone(model),
            posed.collect(),
            formed.collect(),
            order,
            pose.palette,
        );
        figure.set_layers(layers(&figure, |part| pose.parts[part.at()].setting.shift));
        // All that it shows as pixels must be there in the pose's palette.
        let rasters = model.rasters.get(pose.palette);
        for layer in figure.layers() {
            let kept = rasters.and_then(|all| all.get(&(layer.art.id, layer.shape)));
            if let Some(Err(why)) = kept {
                return Err(SolveError::Colours {
                    part: layer.part,
                    drawing: layer.art.id,
                    why: why.clone(),
                });
            }
        }
        Ok(figure)
    }

    /// Parts back to front.
    pub(crate) fn depth_order(&self, pose: &ResolvedPose) -> Result<Vec<PartId>, SolveError> {
        let model = &self.0;
        let parts = &model.view().parts;
        let own = parts.iter().zip(&pose.parts);
        let mut depths: Vec<f64> = own.map(|(part, posed)| part.depth + posed.depth).collect();
        // Carriers come first.
        for &id in &model.order {
            if let Some(parent) = parts[id.at()].parent {
                depths[id.at()] += depths[parent.at()];
            }
        }
        let parents: Vec<Option<PartId>> = parts.iter().map(|p| p.parent).collect();
        depth::order(&depths, &parents, &pose.rules).map_err(SolveError::Loop)
    }
}

/// For each palette, what the colours as drawn become. Where one colour has several names
/// the first name decides.
fn colour_maps(member: &Member) -> Vec<BTreeMap<Rgb, Rgb>> {
    member
        .palettes
        .iter()
        .map(|palette| {
            let mut map = BTreeMap::new();
            for (name, &from) in &member.drawn.swatches {
                let to = palette.swatches.get(name).copied().unwrap_or(from);
                map.entry(from).or_insert(to);
            }
            map.retain(|from, to| from != to);
            map
        })
        .collect()
}

/// Whether nothing shows through a drawing's paint.
fn is_opaque(art: &PartArt) -> bool {
    let paints = art.shapes.iter().filter(|s| s.role == Role::Paint);
    paints.clone().all(|s| {
        s.opacity >= 1.0
            && matches!(s.source, Source::Solid(_))
            && !matches!(s.outline, Outline::Raster(_))
    })
}
