//! A figure on a PDF's page: curves stay curves, strokes stay strokes, and every cut is a clip path.

use std::rc::Rc;
use std::sync::Arc;

use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Size};
use krilla::image::Image;
use krilla::paint::{Fill, FillRule, LinearGradient, Paint, RadialGradient, SpreadMethod, Stop};
use krilla::surface::Surface;
use tiny_skia::Pixmap;

use super::pdf_path::{
    Grain, add_contour, add_path, add_region, draw_path, fill_rule, line, method, normal, painted,
    transform,
};
use super::spread;
use super::walk::{Form, Piece, Sink, walk};
use crate::art::{ClipShape, Gradient, Rgb, Source};
use crate::cast::Keep;
use crate::geom::{Affine, Region, bounds_of};
use crate::solve::Figure;

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
    let around = corners.map(|p| back.apply(p));
    let Some(area) = bounds_of(around) else {
        return;
    };
    surface.push_transform(&transform(&place.to_page));
    let mut writer = Writer {
        scale,
        tint: place.tint,
        around,
        open: Vec::new(),
        surface,
    };
    walk(&figure.at(scale), scale, area, &mut writer);
    writer.keep(0);
    surface.pop();
}

struct Writer<'a, 'p> {
    scale: f64,
    tint: Option<Recolour<'a>>,
    /// All that is seen, canvas units.
    around: [[f64; 2]; 4],
    /// The cuts whose clips are pushed: neighbouring layers share most of theirs.
    open: Vec<Rc<Clip>>,
    surface: &'a mut Surface<'p>,
}

/// A clip path.
struct Clip {
    path: Path,
    rule: FillRule,
    /// What it is made of, but for one of the art.
    of: Option<(Keep, Arc<Region>, Affine)>,
}

impl Clip {
    fn is_like(&self, other: &Self) -> bool {
        std::ptr::eq(self, other) || self.of.is_some() && self.of == other.of
    }
}

impl Sink for Writer<'_, '_> {
    type Clip = Rc<Clip>;

    fn clip(&mut self, keep: Keep, region: &Arc<Region>, posed: &Affine) -> Option<Rc<Clip>> {
        let mut path = PathBuilder::new();
        if keep == Keep::Outside {
            add_contour(&mut path, &self.around, Grain::at(self.scale));
        }
        add_region(&mut path, region, posed, Grain::at(self.scale));
        Some(Rc::new(Clip {
            path: path.finish()?,
            rule: FillRule::EvenOdd,
            of: Some((keep, Arc::clone(region), *posed)),
        }))
    }

    fn art_clip(&mut self, clip: &ClipShape, posed: &Affine) -> Option<Rc<Clip>> {
        // One path can stand for several only where they share a rule: a union of windings.
        let rule = match clip.paths[..] {
            [(_, rule, _)] => fill_rule(rule),
            _ => FillRule::NonZero,
        };
        let mut path = PathBuilder::new();
        for (outline, _, to_canvas) in &clip.paths {
            let place = posed.after(*to_canvas);
            add_path(&mut path, outline, Some(&place), Grain::at(self.scale));
        }
        Some(Rc::new(Clip {
            path: path.finish()?,
            rule,
            of: None,
        }))
    }

    fn put(&mut self, piece: &Piece<'_>, cuts: &[Rc<Clip>], own: &[Rc<Clip>]) {
        // What is pushed already comes first, in the order of the pushed.
        let mut cuts = cuts.to_vec();
        let shared = (self.open.iter().enumerate()).take_while(|(count, open)| {
            let at = cuts[*count..].iter().position(|cut| cut.is_like(open));
            at.map(|at| cuts.swap(*count, count + at)).is_some()
        });
        let shared = shared.count();
        self.keep(shared);
        for clip in &cuts[shared..] {
            self.surface.push_clip_path(&clip.path, &clip.rule);
        }
        self.open.extend_from_slice(&cuts[shared..]);
        for clip in own {
            self.surface.push_clip_path(&clip.path, &clip.rule);
        }
        self.draw(piece);
        for _ in own {
            self.surface.pop();
        }
    }
}

impl Writer<'_, '_> {
    /// Pops all pushed clips but so many.
    fn keep(&mut self, count: usize) {
        for _ in self.open.drain(count..) {
            self.surface.pop();
        }
    }

    fn draw(&mut self, piece: &Piece<'_>) {
        let grain = Grain::at(self.scale * piece.posed.max_scale());
        let opacity = normal(piece.opacity);
        let mut path = PathBuilder::new();
        let rule = match piece.form {
            Form::Pixels(ref pixels, s, at) => {
                self.surface.push_opacity(opacity);
                self.image(pixels, s, at);
                self.surface.pop();
                return;
            }
            Form::Line(outline, stroke, dash) => {
                add_path(&mut path, outline, None, grain);
                let stroke = line(stroke, dash, self.paint(piece), opacity);
                draw_path(self.surface, path, &piece.posed, None, Some(stroke));
                return;
            }
            Form::Fill(outline, rule) => {
                add_path(&mut path, outline, None, grain);
                fill_rule(rule)
            }
            Form::Region(region) => {
                add_region(&mut path, region, &Affine::IDENTITY, grain);
                FillRule::EvenOdd
            }
        };
        let fill = Fill {
            paint: self.paint(piece),
            opacity,
            rule,
        };
        draw_path(self.surface, path, &piece.posed, Some(fill), None);
    }

    fn paint(&self, piece: &Piece<'_>) -> Paint {
        match piece.source {
            Source::Solid(colour) => self.colour(colour.rgb).into(),
            Source::Linear(gradient, line) => self.linear(gradient, *line),
            Source::Radial(gradient, circles) => {
                self.radial(gradient, *circles, painted(&piece.form))
            }
        }
    }

    fn colour(&self, rgb: Rgb) -> rgb::Color {
        let Rgb([r, g, b]) = self.tint.map_or(rgb, |tint| (tint.colour)(rgb));
        rgb::Color::new(r, g, b)
    }

    fn stops(&self, gradient: &Gradient) -> Vec<Stop> {
        gradient
            .stops
            .iter()
            .map(|(offset, colour, alpha)| Stop {
                offset: normal(*offset),
                color: self.colour(colour.rgb).into(),
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

    fn image(&mut self, pixels: &Pixmap, s: f64, at: [f64; 2]) {
        let mut pixels = pixels.clone();
        if let Some(tint) = self.tint {
            (tint.pixels)(pixels.data_mut());
        }
        let (w, h) = (pixels.width(), pixels.height());
        #[expect(clippy::cast_precision_loss, reason = "under 32768")]
        let size = Size::from_wh(w as f32, h as f32);
        let Some(size) = size else { return };
        let straight = pixels.pixels().iter().map(|p| p.demultiply());
        let bytes = straight.flat_map(|c| [c.red(), c.green(), c.blue(), c.alpha()]);
        let at = Affine::translate(at).after(Affine::scale([1.0 / s, 1.0 / s]));
        self.surface.push_transform(&transform(&at));
        let image = Image::from_rgba8(bytes.collect(), w, h);
        self.surface.draw_image(image, size);
        self.surface.pop();
    }
}
