//! One view of one member, prepared once for all its poses.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::depth::{self, SideOf};
use super::detail::Detail;
use super::figure::{Figure, Posed};
use super::kinematics;
use super::layers::layers;
use crate::art::{ArtId, Colour, Library, Outline, PartArt, RasterArt, Rgb, Role, Source};
use crate::cast::{
    Drawing, Member, NameId, Part, PartId, Pose, Said, Setting, Side, View, swatch_of,
};
use crate::diag::Problem;
use crate::geom::Affine;

/// Numbers beyond this leave the picture by so far that they are mistakes.
const FAR: f64 = 1e7;

/// One view of one member, prepared once for all its poses. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Puppet(pub(crate) Arc<Model>);

/// What every pose of a view shares.
#[derive(Debug)]
pub(crate) struct Model {
    pub member: Arc<Member>,
    pub view: usize,
    pub art: Vec<Arc<PartArt>>,
    /// Art space to the rest canvas, for each part.
    pub place: Vec<Affine>,
    /// Parents before children.
    order: Vec<PartId>,
    /// For each part whether it is a garment.
    worn: Vec<bool>,
    /// For each palette, the default palette's colours in it.
    recolour: Vec<BTreeMap<Rgb, Rgb>>,
    /// For each drawing whether nothing shows through its paint.
    opaque: Vec<bool>,
    /// For each drawing whether it has ink and paint.
    whole: Vec<bool>,
    /// Raster art in other palettes, or why it cannot be drawn in one.
    rasters: Vec<BTreeMap<(ArtId, usize), Result<RasterArt, String>>>,
    /// Radius of each seam's disc, once asked for.
    radii: Vec<OnceLock<f64>>,
    details: Mutex<BTreeMap<i32, Arc<Detail>>>,
}

impl Model {
    pub fn view(&self) -> &View {
        &self.member.views[self.view]
    }

    pub fn part(&self, id: PartId) -> &Part {
        &self.view().parts[id.at()]
    }

    /// Whether nothing shows through a drawing's paint.
    pub fn is_opaque(&self, art: ArtId) -> bool {
        self.opaque[art.at()]
    }

    /// Whether a drawing has ink and paint.
    pub fn has_ink_and_paint(&self, art: ArtId) -> bool {
        self.whole[art.at()]
    }

    /// Whether a part is a garment.
    pub fn wears(&self, part: PartId) -> bool {
        self.worn[part.at()]
    }

    /// Whether a seam names a part.
    pub fn is_joined(&self, part: PartId) -> bool {
        let seams = &self.view().seams;
        seams.iter().any(|s| s.parent == part || s.child == part)
    }

    /// Whether `by` is a part or carries it.
    pub fn carries(&self, by: PartId, part: PartId) -> bool {
        let mut now = Some(part);
        while let Some(p) = now {
            if p == by {
                return true;
            }
            now = self.part(p).parent;
        }
        false
    }

    pub fn name(&self, id: PartId) -> &str {
        self.name_of(self.part(id).name)
    }

    fn name_of(&self, id: NameId) -> &str {
        &self.member.names[id.at()]
    }

    /// The geometry at a picture scale (pixels per unit), shared by all scales up to the next
    /// quarter of an octave.
    pub fn detail(&self, scale: f64) -> Arc<Detail> {
        let tier = Detail::tier(scale);
        let mut details = self.details.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(
            details
                .entry(tier)
                .or_insert_with(|| Arc::new(Detail::new(tier, self.art.len()))),
        )
    }

    /// The radius of a seam's disc about its pivot; `auto` is measured on the rest pose.
    pub fn radius(&self, seam: usize, given: Option<f64>) -> f64 {
        *self.radii[seam]
            .get_or_init(|| given.unwrap_or_else(|| self.detail(1.0).auto_reach(self, seam)))
    }

    /// A colour of the art in a palette.
    pub fn colour(&self, colour: &Colour, palette: usize) -> Rgb {
        let Some(set) = self.member.palettes.get(palette) else {
            return colour.rgb;
        };
        if let Some(named) = &colour.swatch {
            let names = set.swatches.keys().map(String::as_str);
            if let Some(&rgb) = swatch_of(named, names).and_then(|name| set.swatches.get(name)) {
                return rgb;
            }
        }
        self.recolour
            .get(palette)
            .and_then(|map| map.get(&colour.rgb))
            .copied()
            .unwrap_or(colour.rgb)
    }

    pub fn raster<'a>(
        &'a self,
        art: ArtId,
        shape: usize,
        drawn: &'a RasterArt,
        palette: usize,
    ) -> &'a RasterArt {
        self.rasters
            .get(palette)
            .and_then(|map| map.get(&(art, shape))?.as_ref().ok())
            .unwrap_or(drawn)
    }
}

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
        set(view, &pose.turn, |part, &v| settings[part].turn = v);
        set(view, &pose.shift, |part, &v| settings[part].shift = v);
        set(view, &pose.scale, |part, &v| settings[part].scale = v);
        set(view, &pose.skew, |part, &v| settings[part].skew = v);
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
        set(view, &pose.replace, |part, name| {
            drawings[part] = match name.as_str() {
                "art" => view.parts[part].art,
                "none" => Drawing::Empty,
                other => view.parts[part]
                    .replacements
                    .get(other)
                    .copied()
                    .unwrap_or(view.parts[part].art),
            };
        });
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
            let Some(Err(why)) = rasters.get(&(layer.art, layer.shape)) else {
                continue;
            };
            let message = format!(
                "\"{}\" cannot be drawn in palette \"{}\", which pose \"{}\" has: {why}",
                model.art[layer.art.at()].id,
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
        set(view, &pose.depth, |part, &v| own[part] += v);
        let mut depths = own.clone();
        for &id in &model.order {
            if let Some(parent) = view.parts[id.at()].parent {
                depths[id.at()] = depths[parent.at()] + own[id.at()];
            }
        }
        let mut sides: Vec<SideOf> = Vec::new();
        let mut said: Vec<&Said<(Side, NameId)>> = Vec::new();
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
            let words = |s: &Said<(Side, NameId)>| {
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

/// Applies a pose's table to the parts that this view has.
fn set<T>(view: &View, table: &[Said<T>], mut put: impl FnMut(usize, &T)) {
    for said in table {
        if let Some(part) = view.by_name[said.part.at()] {
            put(part.at(), &said.value);
        }
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
