//! Drawings sample by sample, filled by tiny-skia without anti-aliasing: one sample to its pixel.

use std::collections::BTreeSet;

use layfig::art::{ArtId, Library, Outline, PartArt, Rgb, Role, Shape, Source};
use layfig::cast::{ColourName, Drawing, Member, Palette, Pose, PoseEntry, View};
use layfig::geom::Affine;
use rayon::prelude::*;
use tiny_skia::{FillRule, Mask, Path};

/// Solid paint.
pub const PAINT: u8 = 1;
/// Ink that runs along the paint's edge.
pub const OUTLINE: u8 = 2;
/// Ink or paint that hides what is behind it.
pub const COVER: u8 = 4;
/// Anything.
pub const ANY: u8 = 8;
/// The last shape drawn here is ink.
pub const INK: u8 = 16;
/// The last shape drawn here is dark: it has the colour of an outline.
pub const DARK: u8 = 32;
/// The last paint drawn here is.
pub const DARK_PAINT: u8 = 64;
/// Ink that a seam opens.
pub const OPENED: u8 = 128;

/// Ink that covers this share of a paint's edge is its outline (DEVELOPERS.md).
const OUTLINE_SHARE: f64 = 0.04;

/// Samples of one part within its box.
pub struct Plane {
    pub x: i32,
    pub y: i32,
    pub w: i32,
    pub h: i32,
    pub bits: Vec<u8>,
}

impl Plane {
    pub fn at(&self, x: i32, y: i32) -> u8 {
        let (i, j) = (x - self.x, y - self.y);
        if i < 0 || j < 0 || i >= self.w || j >= self.h {
            return 0;
        }
        self.bits[(j * self.w + i) as usize]
    }

    pub fn points(&self) -> impl Iterator<Item = (usize, i32, i32)> + '_ {
        let at = |k: usize| (k, self.x + k as i32 % self.w, self.y + k as i32 / self.w);
        (0..self.bits.len()).map(at)
    }
}

/// All drawings, with which of their inks are outlines and which colours these have.
pub struct Drawings<'a> {
    pub library: &'a Library,
    outlines: Vec<Vec<bool>>,
    dark: BTreeSet<Rgb>,
}

fn colour(shape: &Shape) -> Option<Rgb> {
    match &shape.source {
        Source::Solid(colour) => Some(colour.rgb),
        _ => None,
    }
}

impl<'a> Drawings<'a> {
    pub fn new(library: &'a Library) -> Self {
        let outlines: Vec<Vec<bool>> = library.all().par_iter().map(|a| outlines(a)).collect();
        let shapes = library
            .all()
            .iter()
            .zip(&outlines)
            .flat_map(|(a, o)| a.shapes.iter().zip(o));
        let dark = shapes
            .filter(|(_, outline)| **outline)
            .filter_map(|(s, _)| colour(s));
        let mut dark: BTreeSet<Rgb> = dark.collect();
        // In a gradient a colour stands for no line.
        let all = library.all().iter().flat_map(|a| &a.shapes);
        for mixed in all.filter(|s| colour(s).is_none()).flat_map(colours) {
            dark.remove(&mixed);
        }
        Self {
            library,
            dark,
            outlines,
        }
    }

    /// A member in whose second palette outlines are white, and all that has not their colour black.
    pub fn marked(&self, member: &Member, seams: bool) -> Member {
        let mut out = member.clone();
        let all: BTreeSet<Rgb> = self
            .library
            .all()
            .iter()
            .flat_map(|a| &a.shapes)
            .flat_map(colours)
            .collect();
        let palette = |name: &str, to: &dyn Fn(Rgb) -> Rgb| Palette {
            name: name.to_owned(),
            swatches: all
                .iter()
                .map(|&rgb| (format!("~{rgb}"), to(rgb)))
                .collect(),
        };
        let mark = |rgb| {
            if self.dark.contains(&rgb) {
                Rgb([255; 3])
            } else {
                Rgb([0; 3])
            }
        };
        out.drawn = palette("drawn", &|rgb| rgb);
        out.palettes = vec![out.drawn.clone(), palette("marked", &mark)];
        for view in &mut out.views {
            if !seams {
                view.seams.clear();
            }
            for garment in &mut view.garments {
                garment.trim = garment
                    .trim
                    .as_ref()
                    .map(|_| ColourName::Plain(Rgb([255; 3])));
            }
        }
        out
    }

    /// A pose in that palette, without what only pixels can show: a glow.
    pub fn marked_pose(&self, pose: &Pose, view: &View) -> Pose {
        let mut out = pose.clone();
        out.palette = 1;
        for part in &view.parts {
            let raster = |s: &Shape| matches!(s.outline, Outline::Raster(_));
            let has = |d: &Drawing| matches!(d, Drawing::Art(id) if self.library.get(*id).unwrap().shapes.iter().any(raster));
            if has(&part.art) || part.replacements.values().any(has) {
                out.replace.push(PoseEntry {
                    part: part.name,
                    value: "none".to_owned(),
                    span: pose.span,
                });
            }
        }
        out
    }
}

fn colours(shape: &Shape) -> Vec<Rgb> {
    match &shape.source {
        Source::Solid(colour) => vec![colour.rgb],
        Source::Linear(g, _) | Source::Radial(g, _) => g.stops.iter().map(|s| s.1.rgb).collect(),
    }
}

/// What a shape fills, and by which rule, in pixels.
fn path(shape: &Shape, to_pixels: &Affine) -> Option<(Path, FillRule)> {
    let to = to_pixels.after(shape.to_canvas);
    match &shape.outline {
        Outline::Fill { path, rule } => Some((path.clone().transform(to.to_skia())?, *rule)),
        Outline::Stroke { path, stroke, .. } => {
            let scale = 8.0 * to.max_scale() as f32;
            let dashed = stroke.dash.as_ref().map(|d| path.dash(d, scale));
            let line = dashed
                .flatten()
                .unwrap_or_else(|| path.clone())
                .stroke(stroke, scale)?;
            Some((line.transform(to.to_skia())?, FillRule::Winding))
        }
        Outline::Raster(_) => None,
    }
}

/// A shape's samples in a box of pixels.
fn filled(shape: &Shape, to_pixels: &Affine, [x, y, w, h]: [i32; 4]) -> Option<Mask> {
    let moved = Affine::translate([-f64::from(x), -f64::from(y)]).after(*to_pixels);
    let (path, rule) = path(shape, &moved)?;
    let whole = tiny_skia::Transform::identity();
    let mut out = Mask::new(w as u32, h as u32)?;
    out.fill_path(&path, rule, false, whole);
    for clip in &shape.clips {
        let mut through = Mask::new(w as u32, h as u32)?;
        for (path, rule, to_canvas) in &clip.paths {
            through.fill_path(path, *rule, false, moved.after(*to_canvas).to_skia());
        }
        for (a, b) in out.data_mut().iter_mut().zip(through.data()) {
            *a &= *b;
        }
    }
    Some(out)
}

/// A box about shapes, in whole pixels, one to spare.
fn pixel_box(art: &PartArt, to_pixels: &Affine) -> Option<[i32; 4]> {
    let mut b = [
        f32::INFINITY,
        f32::INFINITY,
        f32::NEG_INFINITY,
        f32::NEG_INFINITY,
    ];
    for (path, _) in art.shapes.iter().filter_map(|s| path(s, to_pixels)) {
        let p = path.bounds();
        b = [
            b[0].min(p.left()),
            b[1].min(p.top()),
            b[2].max(p.right()),
            b[3].max(p.bottom()),
        ];
    }
    if b[0] > b[2] {
        return None;
    }
    let [l, t] = [b[0].floor() as i32 - 1, b[1].floor() as i32 - 1];
    (b[0] <= b[2]).then_some([l, t, b[2].ceil() as i32 + 1 - l, b[3].ceil() as i32 + 1 - t])
}

fn is_solid(shape: &Shape) -> bool {
    shape.role == Role::Paint && shape.opacity >= 0.5
}

fn outlines(art: &PartArt) -> Vec<bool> {
    let to = Affine::scale([2.0, 2.0]);
    let none = vec![false; art.shapes.len()];
    let Some(area @ [_, _, w, h]) = pixel_box(art, &to) else {
        return none;
    };
    let masks: Vec<Option<Mask>> = art.shapes.iter().map(|s| filled(s, &to, area)).collect();
    let mut paint = vec![false; (w * h) as usize];
    for (_, mask) in art.shapes.iter().zip(&masks).filter(|(s, _)| is_solid(s)) {
        for (p, m) in paint.iter_mut().zip(mask.iter().flat_map(Mask::data)) {
            *p |= *m > 0;
        }
    }
    let is =
        |x: i32, y: i32| (0..w).contains(&x) && (0..h).contains(&y) && paint[(y * w + x) as usize];
    let edge: Vec<usize> = (0..paint.len())
        .filter(|&k| {
            let (x, y) = (k as i32 % w, k as i32 / w);
            let all = is(x - 1, y) && is(x + 1, y) && is(x, y - 1) && is(x, y + 1);
            paint[k] && !all
        })
        .collect();
    let along = |mask: &Mask| edge.iter().filter(|&&k| mask.data()[k] > 0).count() as f64;
    let long = |mask: &Mask| along(mask) > edge.len() as f64 * OUTLINE_SHARE;
    let shapes = art.shapes.iter().zip(&masks);
    shapes
        .map(|(s, m)| s.role == Role::Ink && m.as_ref().is_some_and(long))
        .collect()
}

/// A drawing's samples, `to_pixels` taking its own canvas to them.
pub fn plane(drawings: &Drawings<'_>, id: ArtId, to_pixels: &Affine) -> Option<Plane> {
    let (art, outlines) = (
        drawings.library.get(id).unwrap(),
        &drawings.outlines[id.at()],
    );
    let area @ [x, y, w, h] = pixel_box(art, to_pixels)?;
    let mut bits = vec![0_u8; (w * h) as usize];
    for (shape, outline) in art.shapes.iter().zip(outlines) {
        let Some(mask) = filled(shape, to_pixels, area) else {
            continue;
        };
        let is_dark = colour(shape).is_some_and(|c| drawings.dark.contains(&c));
        let (mut set, mut unset) = (ANY, 0);
        if shape.opacity >= 0.5 {
            set |= COVER;
            unset = INK | DARK;
            if shape.role == Role::Ink {
                set |= INK;
            } else {
                set |= PAINT;
                unset |= DARK_PAINT;
            }
            if is_dark {
                set |= if shape.role == Role::Ink {
                    DARK
                } else {
                    DARK | DARK_PAINT
                };
            }
        }
        if *outline {
            set |= OUTLINE;
        }
        for (b, m) in bits.iter_mut().zip(mask.data()) {
            if *m > 0 {
                *b = *b & !unset | set;
            }
        }
    }
    Some(Plane { x, y, w, h, bits })
}
