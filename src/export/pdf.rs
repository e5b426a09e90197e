//! A figure on a PDF's page: curves stay curves, strokes stay strokes, and every cut is a clip path.

use std::sync::Arc;

use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Size};
use krilla::image::Image;
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LinearGradient, Paint, RadialGradient, SpreadMethod, Stop};
use krilla::surface::Surface;

use super::pdf_path::{
    Grain, add_contour, add_path, add_region, draw_path, fill_rule, line, method, normal, painted,
    transform,
};
use super::spread;
use crate::art::{Colour, Gradient, Outline, RasterArt, Rgb, Shape, Source};
use crate::cast::Keep;
use crate::geom::{Affine, Region, bounds_of};
use crate::solve::{Detail, Figure, Layer};

/// Raster art is drawn for a picture this many times the size of the page's pixels.
const RASTER: f64 = 2.0;
/// How far ink in its own colour runs on under a trim, pixels: edges that only meet would let what
/// lies beneath shine through.
const LAP: f64 = 0.75;

/// What of a surface a figure is drawn on.
pub(crate) struct Place<'a> {
    /// From canvas units to the surface's.
    pub to_page: Affine,
    /// Left, top, right, bottom, surface units: what lies beyond is not seen.
    pub seen: [f64; 4],
    /// In place of its colours.
    pub tint: Option<Recolour<'a>>,
}

/// Other colours in place of a figure's own.
#[derive(Clone, Copy)]
pub(crate) struct Recolour<'a> {
    /// For one colour.
    pub colour: &'a dyn Fn(Rgb) -> Rgb,
    /// For premultiplied pixels of raster art.
    pub pixels: &'a dyn Fn(&mut [u8]),
}

/// Draws a figure.
pub(crate) fn draw(figure: &Figure, surface: &mut Surface<'_>, place: &Place<'_>) {
    let scale = place.to_page.max_scale();
    let Some(back) = place.to_page.inverse() else {
        return;
    };
    let [left, top, right, bottom] = place.seen;
    let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
    let painter = Painter {
        figure,
        detail: figure.detail(scale),
        scale,
        place,
        around: corners.map(|p| back.apply(p)),
    };
    surface.push_transform(&transform(&place.to_page));
    let mut open = Open::default();
    for layer in figure.layers() {
        painter.layer(layer, &mut open, surface);
    }
    open.keep(0, surface);
    surface.pop();
}

/// The cuts whose clips are pushed: neighbouring layers share most of theirs.
#[derive(Default)]
struct Open(Vec<(Keep, Arc<Region>, Affine)>);

impl Open {
    /// Pops all but so many.
    fn keep(&mut self, count: usize, surface: &mut Surface<'_>) {
        while self.0.len() > count {
            self.0.pop();
            surface.pop();
        }
    }

    /// How many of these are pushed already; they come first from then on, in the order of the pushed.
    fn shared(&self, cuts: &mut [(Keep, Arc<Region>, Affine)]) -> usize {
        for (count, (keep, region, posed)) in self.0.iter().enumerate() {
            let same = |cut: &(Keep, Arc<Region>, Affine)| {
                let alike = cut.0 == *keep && cut.2 == *posed;
                alike && (Arc::ptr_eq(&cut.1, region) || cut.1 == *region)
            };
            match cuts[count..].iter().position(same) {
                Some(at) => cuts.swap(count, count + at),
                None => return count,
            }
        }
        self.0.len()
    }
}

struct Painter<'a> {
    figure: &'a Figure,
    detail: Arc<Detail>,
    scale: f64,
    place: &'a Place<'a>,
    /// All that is seen, canvas units.
    around: [[f64; 2]; 4],
}

/// What a clip comes to.
enum Clip {
    All,
    Nothing,
    Path(Path, FillRule),
}

impl Painter<'_> {
    fn layer(&self, layer: &Layer, open: &mut Open, surface: &mut Surface<'_>) {
        let shape = self.figure.shape(layer);
        let cuts = layer.cuts.iter();
        let cuts = cuts.filter_map(|&cut| self.figure.cut_region(&self.detail, layer, cut));
        let mut cuts: Vec<_> = cuts
            .map(|found| (found.keep, found.region, found.posed))
            .filter(|(keep, region, _)| *keep == Keep::Inside || !region.is_empty())
            .collect();
        let shared = open.shared(&mut cuts);
        let mut more = Vec::new();
        for (keep, region, posed) in &cuts[shared..] {
            match self.clip(*keep, region, posed) {
                Clip::All => {}
                Clip::Nothing => return,
                Clip::Path(path, rule) => more.push((path, rule)),
            }
        }
        let mut clips: Vec<(Path, FillRule)> = Vec::new();
        for clip in &shape.clips {
            // One path can stand for several only where they share a rule: a union of windings.
            let mut path = PathBuilder::new();
            let mut rule = FillRule::NonZero;
            for (outline, fill, to_canvas) in &clip.paths {
                let place = layer.posed.after(*to_canvas);
                add_path(&mut path, outline, Some(&place), Grain::at(self.scale));
                if clip.paths.len() == 1 {
                    rule = fill_rule(*fill);
                }
            }
            match path.finish() {
                Some(path) => clips.push((path, rule)),
                None => return,
            }
        }
        open.keep(shared, surface);
        for ((path, rule), cut) in more.iter().zip(&cuts[shared..]) {
            surface.push_clip_path(path, rule);
            open.0.push(cut.clone());
        }
        for (path, rule) in &clips {
            surface.push_clip_path(path, rule);
        }
        if layer.trims.is_empty() {
            self.shape(layer, shape, None, surface);
        } else {
            self.trimmed(layer, shape, surface);
        }
        for _ in &clips {
            surface.pop();
        }
    }

    /// Ink in its own colour stops a little inside the garments; each trim stops a little inside the
    /// later ones.
    fn trimmed(&self, layer: &Layer, shape: &Shape, surface: &mut Surface<'_>) {
        let regions: Vec<(Arc<Region>, Affine)> = layer
            .trims
            .iter()
            .map(|t| self.figure.trim_region(&self.detail, t))
            .collect();
        for k in 0..=layer.trims.len() {
            let own = k.checked_sub(1).and_then(|j| regions.get(j));
            let mut clips = Vec::new();
            clips.extend(own.map(|(region, posed)| self.clip(Keep::Inside, region, posed)));
            clips.extend(regions[k..].iter().map(|(region, posed)| {
                let lap = LAP / (self.scale * posed.max_scale().max(1e-6));
                let less = region.shrunk(lap, 0.05 / self.scale);
                self.clip(Keep::Outside, &less, posed)
            }));
            if clips.iter().any(|c| matches!(c, Clip::Nothing)) {
                continue;
            }
            let mut pushed = 0;
            for clip in &clips {
                if let Clip::Path(path, rule) = clip {
                    surface.push_clip_path(path, rule);
                    pushed += 1;
                }
            }
            let colour = k.checked_sub(1).map(|j| layer.trims[j].colour);
            self.shape(layer, shape, colour, surface);
            for _ in 0..pushed {
                surface.pop();
            }
        }
    }

    fn clip(&self, keep: Keep, area: &Region, posed: &Affine) -> Clip {
        if area.is_empty() {
            return match keep {
                Keep::Inside => Clip::Nothing,
                Keep::Outside => Clip::All,
            };
        }
        let mut path = PathBuilder::new();
        if keep == Keep::Outside {
            add_contour(&mut path, &self.around, Grain::at(self.scale));
        }
        add_region(&mut path, area, posed, Grain::at(self.scale));
        match path.finish() {
            Some(path) => Clip::Path(path, FillRule::EvenOdd),
            None => Clip::Nothing,
        }
    }

    /// A shape; `colour` overrides its own.
    fn shape(&self, layer: &Layer, shape: &Shape, colour: Option<Rgb>, surface: &mut Surface<'_>) {
        let posed = layer.posed.after(shape.to_canvas);
        let grain = Grain::at(self.scale * posed.max_scale());
        let opacity = normal(shape.opacity);
        let solid = |rgb: Rgb| Paint::from(self.colour(rgb));
        let paint = || match (colour, &shape.source) {
            (Some(rgb), _) => solid(rgb),
            (None, Source::Solid(c)) => solid(self.figure.colour(c)),
            (None, Source::Linear(gradient, line)) => self.linear(gradient, *line),
            (None, Source::Radial(gradient, circles)) => {
                self.radial(gradient, *circles, painted(&shape.outline))
            }
        };
        match &shape.outline {
            Outline::Raster(raster) => {
                let raster = self.figure.raster(layer, raster);
                self.image(raster, &posed, opacity, surface);
            }
            Outline::Fill { path, rule } => {
                let mut builder = PathBuilder::new();
                add_path(&mut builder, path, None, grain);
                let fill = Fill {
                    paint: paint(),
                    opacity,
                    rule: fill_rule(*rule),
                };
                draw_path(surface, builder, &posed, Some(fill), None);
            }
            Outline::Stroke { stroke, .. }
                if stroke.line_join == tiny_skia::LineJoin::MiterClip =>
            {
                // PDF has no such join: its outline says the same.
                let drawn = self.figure.regions(&self.detail, layer.art);
                let mut builder = PathBuilder::new();
                let region = &drawn.shapes[layer.shape];
                let grain = Grain::at(self.scale * layer.posed.max_scale());
                add_region(&mut builder, region, &Affine::IDENTITY, grain);
                let fill = Fill {
                    paint: paint(),
                    opacity,
                    rule: FillRule::EvenOdd,
                };
                draw_path(surface, builder, &layer.posed, Some(fill), None);
            }
            Outline::Stroke { path, stroke, dash } => {
                let mut builder = PathBuilder::new();
                add_path(&mut builder, path, None, grain);
                let stroke = line(stroke, dash.as_ref(), paint(), opacity);
                draw_path(surface, builder, &posed, None, Some(stroke));
            }
        }
    }

    fn colour(&self, rgb: Rgb) -> rgb::Color {
        let Rgb([r, g, b]) = self.place.tint.map_or(rgb, |tint| (tint.colour)(rgb));
        rgb::Color::new(r, g, b)
    }

    fn stops(&self, gradient: &Gradient) -> Vec<Stop> {
        gradient
            .stops
            .iter()
            .map(|(offset, colour, alpha): &(f32, Colour, f32)| Stop {
                offset: normal(*offset),
                color: self.colour(self.figure.colour(colour)).into(),
                opacity: normal(*alpha),
            })
            .collect()
    }

    fn linear(&self, gradient: &Gradient, [x1, y1, x2, y2]: [f32; 4]) -> Paint {
        Paint::from(LinearGradient {
            x1,
            y1,
            x2,
            y2,
            transform: transform(&Affine::from_skia(gradient.transform)),
            spread_method: method(gradient.spread),
            stops: self.stops(gradient),
            anti_alias: true,
        })
    }

    /// `painted` is what of the gradient is seen: left, top, right, bottom in the shape's units.
    fn radial(&self, gradient: &Gradient, circles: [f32; 6], painted: [f64; 4]) -> Paint {
        let mut stops = self.stops(gradient);
        let mut circles = circles.map(f64::from);
        let own = Affine::from_skia(gradient.transform).inverse();
        if let (Some(own), true) = (own, gradient.spread != tiny_skia::SpreadMode::Pad) {
            let [left, top, right, bottom] = painted;
            let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
            let turns = gradient.spread == tiny_skia::SpreadMode::Reflect;
            let wide = spread::widened(circles, turns, &corners.map(|p| own.apply(p)));
            circles = wide.circles;
            let own: Vec<(f64, Stop)> = stops
                .into_iter()
                .map(|stop| (f64::from(stop.offset.get()), stop))
                .collect();
            #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
            let placed = |(offset, stop): (f64, Stop)| Stop {
                offset: normal(offset as f32),
                ..stop
            };
            stops = wide.stops(&own).into_iter().map(placed).collect();
        }
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let [fx, fy, fr, cx, cy, cr] = circles.map(|v| v as f32);
        Paint::from(RadialGradient {
            fx,
            fy,
            fr,
            cx,
            cy,
            cr,
            transform: transform(&Affine::from_skia(gradient.transform)),
            // PDF has no other; what is repeated has been written out.
            spread_method: SpreadMethod::Pad,
            stops,
            anti_alias: true,
        })
    }

    /// Raster art, drawn in its pose.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped"
    )]
    fn image(
        &self,
        raster: &RasterArt,
        posed: &Affine,
        opacity: NormalizedF32,
        surface: &mut Surface<'_>,
    ) {
        // Pixels of what is seen alone: other places of the canvas need none.
        let s = self.scale * RASTER;
        let Some([left, top, right, bottom]) = bounds_of(self.around) else {
            return;
        };
        let side = |v: f64| libm::ceil(v * s).clamp(1.0, 16_384.0) as u32;
        let (width, height) = (side(right - left), side(bottom - top));
        let to_pixels = Affine::scale([s, s])
            .after(Affine::translate([-left, -top]))
            .after(*posed);
        let Some(mut drawn) = raster.draw(&to_pixels, width, height) else {
            return;
        };
        if let Some(tint) = self.place.tint {
            (tint.pixels)(drawn.pixels.data_mut());
        }
        let (w, h) = (drawn.pixels.width(), drawn.pixels.height());
        let Some(size) = Size::from_wh(w as f32, h as f32) else {
            return;
        };
        let bytes: Vec<u8> = drawn
            .pixels
            .pixels()
            .iter()
            .map(|p| p.demultiply())
            .flat_map(|c| [c.red(), c.green(), c.blue(), c.alpha()])
            .collect();
        let at = Affine::translate([left + f64::from(drawn.x) / s, top + f64::from(drawn.y) / s])
            .after(Affine::scale([1.0 / s, 1.0 / s]));
        surface.push_opacity(opacity);
        surface.push_transform(&transform(&at));
        surface.draw_image(Image::from_rgba8(bytes, w, h), size);
        surface.pop();
        surface.pop();
    }
}
