//! One view of one member, prepared once for all its poses.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::depth::{self, SideOf};
use super::detail::Detail;
use super::figure::{Cut, Figure, Layer, Posed, Trim};
use super::kinematics;
use crate::art::{ArtId, Colour, Library, Outline, PartArt, RasterArt, Rgb, Role};
use crate::cast::{
    ColourName, Drawing, Member, NameId, Opens, Part, PartId, Pose, Said, Seam, Setting, Side, View,
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
    /// For each part, the garment table that wears it, if any.
    worn: Vec<Option<usize>>,
    /// For each palette, the default palette's colours in it.
    recolour: Vec<BTreeMap<Rgb, Rgb>>,
    /// Raster art in other palettes.
    rasters: Vec<BTreeMap<(ArtId, usize), RasterArt>>,
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
            .get_or_init(|| given.unwrap_or_else(|| self.detail(1.0).hidden_reach(self, seam)))
    }

    /// A colour of the art in a palette.
    pub fn colour(&self, colour: &Colour, palette: usize) -> Rgb {
        let Some(set) = self.member.palettes.get(palette) else {
            return colour.rgb;
        };
        if let Some(named) = &colour.swatch {
            // Ids are unique in a file, so `swatch-skin-2` means skin too.
            let found = set
                .swatches
                .iter()
                .filter(|(name, _)| {
                    named
                        .strip_prefix(name.as_str())
                        .is_some_and(|rest| rest.is_empty() || rest.starts_with(['-', '_', '.']))
                })
                .max_by_key(|(name, _)| name.len());
            if let Some((_, &rgb)) = found {
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
            .and_then(|map| map.get(&(art, shape)))
            .unwrap_or(drawn)
    }

    /// Whose ink a seam opens: of the parent, of the child.
    fn opens(seam: &Seam, part: PartId) -> bool {
        match seam.opens {
            Opens::Both => true,
            Opens::Parent => part == seam.parent,
            Opens::Child => part == seam.child,
        }
    }
}

impl Puppet {
    /// Prepares a view: everything that no pose changes.
    #[must_use]
    pub fn new(member: Arc<Member>, view: usize, library: &Library) -> Self {
        let parts = &member.views[view].parts;
        let order = kinematics::parents_first(parts);
        let place = parts
            .iter()
            .map(|p| Affine::translate(p.place.shift).after(p.place.linear()))
            .collect();
        let mut worn = vec![None; parts.len()];
        for (g, garment) in member.views[view].garments.iter().enumerate() {
            worn[garment.part.at()] = Some(g);
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
                                raster.recoloured(map),
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
        Self(Arc::new(Model {
            view,
            art,
            place,
            order,
            worn,
            recolour,
            rasters,
            radii,
            details: Mutex::default(),
            member,
        }))
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

    /// The figure in a pose.
    ///
    /// # Errors
    ///
    /// When the pose's sides contradict each other, or its numbers leave the finite.
    pub fn solve(&self, pose: &Pose) -> Result<Figure, Problem> {
        let model = &self.0;
        let view = model.view();
        let n = view.parts.len();

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
        let layers = layers(model, &posed, &order, &settings, pose.palette);
        Ok(Figure::new(Arc::clone(model), posed, layers, pose.palette))
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

/// The draw list: for each part its paints, garments and inks, and the patches of its seams.
fn layers(
    model: &Model,
    posed: &[Posed],
    order: &[PartId],
    settings: &[Setting],
    palette: usize,
) -> Vec<Layer> {
    let view = model.view();
    let mut rank = vec![0; posed.len()];
    for (r, id) in order.iter().enumerate() {
        rank[id.at()] = r;
    }
    let shown = |id: PartId| posed[id.at()].art;
    let posed_art = |id: PartId| posed[id.at()].world.after(model.place[id.at()]);
    let mut out: Vec<Layer> = Vec::new();
    for &part in order {
        if let (Some(art), None) = (shown(part), model.worn[part.at()]) {
            let masks = mask_cuts(view, part);
            let mut ink_cuts = masks.clone();
            for (k, seam) in view.seams.iter().enumerate() {
                let other = if seam.parent == part {
                    seam.child
                } else if seam.child == part {
                    seam.parent
                } else {
                    continue;
                };
                if Model::opens(seam, part) && shown(other).is_some() {
                    ink_cuts.push(Cut::Seam { seam: k, by: other });
                }
            }
            let mut garments: Vec<usize> = (0..view.garments.len())
                .filter(|&g| {
                    view.garments[g].on.contains(&part) && shown(view.garments[g].part).is_some()
                })
                .collect();
            garments.sort_by_key(|&g| rank[view.garments[g].part.at()]);

            let shapes = &model.art[art.at()].shapes;
            let layer = |shape: usize, cuts: Vec<Cut>, trims: Vec<Trim>| Layer {
                part,
                art,
                shape,
                posed: posed_art(part),
                cuts,
                trims,
            };
            if garments.is_empty() {
                for (s, shape) in shapes.iter().enumerate() {
                    let cuts = if shape.role == Role::Ink {
                        ink_cuts.clone()
                    } else {
                        masks.clone()
                    };
                    out.push(layer(s, cuts, Vec::new()));
                }
            } else {
                let under = |first: usize| {
                    garments[first..].iter().map(|&g| Cut::Worn {
                        garment: view.garments[g].part,
                    })
                };
                for s in (0..shapes.len()).filter(|&s| shapes[s].role == Role::Paint) {
                    let cuts = masks.iter().copied().chain(under(0)).collect();
                    out.push(layer(s, cuts, Vec::new()));
                }
                let mut trims: Vec<Trim> = Vec::new();
                for (k, &g) in garments.iter().enumerate() {
                    let garment = &view.garments[g];
                    let worn = garment.part;
                    let Some(worn_art) = shown(worn) else {
                        continue;
                    };
                    let mut cuts = vec![Cut::Host { host: part }];
                    cuts.extend(mask_cuts(view, worn));
                    cuts.extend(under(k + 1));
                    for s in 0..model.art[worn_art.at()].shapes.len() {
                        out.push(Layer {
                            part: worn,
                            art: worn_art,
                            shape: s,
                            posed: posed_art(worn),
                            cuts: cuts.clone(),
                            trims: Vec::new(),
                        });
                    }
                    let colour = garment.trim.as_ref().map(|name| match name {
                        ColourName::Plain(rgb) => *rgb,
                        ColourName::Swatch(name) => model
                            .member
                            .palettes
                            .get(palette)
                            .and_then(|p| p.swatches.get(name))
                            .copied()
                            .unwrap_or(Rgb([0, 0, 0])),
                    });
                    if let Some(colour) = colour {
                        trims.push(Trim {
                            garment: worn,
                            colour,
                        });
                    }
                }
                for s in (0..shapes.len()).filter(|&s| shapes[s].role == Role::Ink) {
                    let mut cuts = ink_cuts.clone();
                    if shapes[s..].iter().any(|later| later.role == Role::Paint) {
                        cuts.push(Cut::LaterPaint { shape: s });
                    }
                    out.push(layer(s, cuts, trims.clone()));
                }
            }
        }
        for seam in &view.seams {
            let nearer = if rank[seam.parent.at()] > rank[seam.child.at()] {
                seam.parent
            } else {
                seam.child
            };
            let (Some(patch), true) = (seam.patch, nearer == part) else {
                continue;
            };
            if shown(seam.parent).is_none() || shown(seam.child).is_none() {
                continue;
            }
            // The patch rides on the parent and goes along when the child is moved off its pivot.
            let shift = if view.parts[seam.child.at()].parent == Some(seam.parent) {
                settings[seam.child.at()].shift
            } else {
                [0.0, 0.0]
            };
            for s in 0..model.art[patch.at()].shapes.len() {
                out.push(Layer {
                    part: nearer,
                    art: patch,
                    shape: s,
                    posed: posed[seam.parent.at()]
                        .world
                        .after(Affine::translate(shift)),
                    cuts: Vec::new(),
                    trims: Vec::new(),
                });
            }
        }
    }
    out
}

/// What masks take from a part. Masks that are alike are one cut, so that it is made once.
fn mask_cuts(view: &View, part: PartId) -> Vec<Cut> {
    let alike = |m: usize| {
        let same = |o: &usize| {
            (view.masks[*o].keep, &view.masks[*o].of) == (view.masks[m].keep, &view.masks[m].of)
        };
        (0..m).find(same).unwrap_or(m)
    };
    (0..view.masks.len())
        .filter(|&m| view.masks[m].part == part)
        .map(|m| Cut::Mask { mask: alike(m) })
        .collect()
}
