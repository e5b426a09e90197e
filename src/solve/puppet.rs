//! One view of one member, prepared once for all its poses.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

use super::depth::{self, SideOf};
use super::figure::{Figure, Posed};
use super::kinematics;
use super::layers::layers;
use super::model::{Model, Puppet};
use crate::art::{ArtId, Library, Outline, PartArt, Rgb, Role, Source};
use crate::cast::{Drawing, Member, NameId, Part, PartId, Pose, PoseEntry, Setting, Side};
use crate::diag::Problem;
use crate::geom::Affine;

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
        let place = parts
            .iter()
            .map(|p| Affine::translate(p.place.shift).after(p.place.linear()))
            .collect();
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
    /// When the pose is of another member, its sides contradict each other, its numbers leave the finite, or a
    /// drawing cannot take the colours of its palette.
    pub fn solve(&self, pose: &Pose) -> Result<Figure, Problem> {
        let model = &self.0;
        let view = model.view();
        let n = view.parts.len();
        if !pose.fits(&model.member) {
            let message = format!("pose \"{}\" sets parts that this member has not", pose.name);
            let hint = "read the pose for this member";
            return Err(Problem::error(pose.span, message).hint(hint));
        }

        let mut settings = vec![Setting::REST; n];
        for (part, &v) in view.entries(&pose.turn) {
            settings[part].turn = v;
        }
        for (part, &v) in view.entries(&pose.shift) {
            settings[part].shift = v;
        }
        for (part, &v) in view.entries(&pose.scale) {
            settings[part].scale = v;
        }
        for (part, &v) in view.entries(&pose.skew) {
            settings[part].skew = v;
        }
        let width = model.member.canvas[0];
        let root = if pose.mirror {
            Affine {
                a: -1.0,
                e: width,
                ..Affine::IDENTITY
            }
        } else {
            Affine::IDENTITY
        };
        let world = kinematics::world(&view.parts, &model.order, &settings, root);
        for (i, w) in world.iter().enumerate() {
            let sane = [w.a, w.b, w.c, w.d, w.e, w.f]
                .iter()
                .all(|v| v.is_finite() && v.abs() <= FAR);
            if !sane {
                let name = model.name_of(view.parts[i].name);
                return Err(Problem::error(
                    pose.span,
                    format!("pose \"{}\" throws part \"{name}\" out of reach", pose.name),
                )
                .hint("look for a very large move, scale or skew on it or on what carries it"));
            }
        }

        let order = self.depth_order(pose)?;

        let mut drawings: Vec<Drawing> = view.parts.iter().map(|p| p.art).collect();
        for (part, name) in view.entries(&pose.replace) {
            drawings[part] = view.parts[part].drawing(name);
        }
        let posed = world
            .iter()
            .zip(&drawings)
            .map(|(&world, drawing)| Posed {
                world,
                art: match drawing {
                    Drawing::Art(id) => Some(*id),
                    Drawing::Empty => None,
                },
            })
            .collect::<Vec<_>>();
        let mut figure = Figure::new(Arc::clone(model), posed, order, pose.palette);
        figure.set_layers(layers(&figure, |part| settings[part.at()].shift));
        self.check_colours(pose, &figure)?;
        Ok(figure)
    }

    /// Whether all that a figure shows as pixels could be drawn in the pose's palette.
    fn check_colours(&self, pose: &Pose, figure: &Figure) -> Result<(), Problem> {
        let model = &self.0;
        let Some(rasters) = model.rasters.get(pose.palette) else {
            return Ok(());
        };
        for layer in figure.layers() {
            let drawing = layer.art;
            let Some(Err(why)) = rasters.get(&(drawing, layer.shape)) else {
                continue;
            };
            let message = format!(
                "\"{}\" cannot be drawn in palette \"{}\", which pose \"{}\" has: {why}",
                model.art[drawing.at()].id,
                model.member.palettes[pose.palette].name,
                pose.name
            );
            let hint = "something that is no colour is written like one of the palette's";
            return Err(Problem::error(model.part(layer.part).span, message).hint(hint));
        }
        Ok(())
    }

    pub(crate) fn depth_order(&self, pose: &Pose) -> Result<Vec<PartId>, Problem> {
        let model = &self.0;
        let view = model.view();
        let mut own: Vec<f64> = view.parts.iter().map(|p| p.depth).collect();
        for (part, v) in view.entries(&pose.depth) {
            own[part] += v;
        }
        let mut depths = own.clone();
        for &id in &model.order {
            if let Some(parent) = view.parts[id.at()].parent {
                depths[id.at()] = depths[parent.at()] + own[id.at()];
            }
        }
        let mut sides: Vec<SideOf> = Vec::new();
        let mut said: Vec<&PoseEntry<(Side, NameId)>> = Vec::new();
        for s in &pose.sides {
            let (side, of) = s.value;
            // A view without one of the two has nothing to put in order.
            if let (Some(part), Some(of)) = (view.by_name[s.part.at()], view.by_name[of.at()]) {
                sides.push(SideOf { part, side, of });
                said.push(s);
            }
        }
        let parents: Vec<Option<PartId>> = view.parts.iter().map(|p| p.parent).collect();
        depth::order(&depths, &parents, &sides).map_err(|met| {
            let words = |s: &PoseEntry<(Side, NameId)>| {
                let side = match s.value.0 {
                    Side::Behind => "behind",
                    Side::InFront => "in front of",
                };
                format!(
                    "{} {side} {}",
                    model.name_of(s.part),
                    model.name_of(s.value.1)
                )
            };
            let list: Vec<String> = met.iter().map(|&k| words(said[k])).collect();
            let mut problem = Problem::error(
                said[met[0]].span,
                format!(
                    "pose \"{}\" contradicts itself: {}",
                    pose.name,
                    list.join(", ")
                ),
            )
            .hint("each of these goes with all that the part carries; leave one out");
            for &k in &met[1..] {
                problem = problem.also(said[k].span, words(said[k]));
            }
            problem
        })
    }
}

/// For each palette, what the default palette's colours become. Where one colour has several names
/// the first name decides.
fn colour_maps(member: &Member) -> Vec<BTreeMap<Rgb, Rgb>> {
    let Some(first) = member.palettes.first() else {
        return Vec::new();
    };
    member
        .palettes
        .iter()
        .map(|palette| {
            let mut map = BTreeMap::new();
            for (name, &from) in &first.swatches {
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
