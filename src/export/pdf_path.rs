//! Paths, as a PDF has them.

use krilla::geom::{Path, PathBuilder, Rect, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Paint, SpreadMethod, Stroke, StrokeDash};
use krilla::surface::Surface;
use tiny_skia::PathSegment;

use super::walk::Form;
use crate::geom::{Affine, Region};

/// How far apart the places are that points lie on, page pixels: digits that nobody sees fill files.
const GRAIN: f64 = 0.05;

/// What a form with a gradient covers at most, its own units: left, top, right, bottom.
pub(super) fn painted(form: &Form<'_>) -> [f64; 4] {
    let (path, more) = match form {
        Form::Pixels(..) => return [0.0; 4],
        Form::Region(region) => return region.bounds().unwrap_or_default(),
        Form::Fill(path, _) => (path, 0.0),
        Form::Line(path, stroke, _) => (
            path,
            f64::from(stroke.width * stroke.miter_limit.max(1.5)) / 2.0,
        ),
    };
    let bounds = path.bounds();
    let [left, top, right, bottom] =
        [bounds.left(), bounds.top(), bounds.right(), bounds.bottom()].map(f64::from);
    [left - more, top - more, right + more, bottom + more]
}

pub(super) fn draw_path(
    surface: &mut Surface<'_>,
    path: PathBuilder,
    posed: &Affine,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) {
    let Some(path) = path.finish() else {
        return;
    };
    surface.push_transform(&transform(posed));
    surface.set_fill(fill);
    surface.set_stroke(stroke);
    surface.draw_path(&path);
    surface.pop();
}

pub(super) fn line(
    stroke: &tiny_skia::Stroke,
    dash: Option<&(Vec<f32>, f32)>,
    paint: Paint,
    opacity: NormalizedF32,
) -> Stroke {
    Stroke {
        paint,
        width: stroke.width,
        miter_limit: stroke.miter_limit,
        line_cap: match stroke.line_cap {
            tiny_skia::LineCap::Butt => LineCap::Butt,
            tiny_skia::LineCap::Round => LineCap::Round,
            tiny_skia::LineCap::Square => LineCap::Square,
        },
        line_join: match stroke.line_join {
            tiny_skia::LineJoin::Round => LineJoin::Round,
            tiny_skia::LineJoin::Bevel => LineJoin::Bevel,
            _ => LineJoin::Miter,
        },
        opacity,
        dash: dash.map(|(array, offset)| StrokeDash {
            array: array.clone(),
            offset: *offset,
        }),
    }
}

pub(super) fn normal(v: f32) -> NormalizedF32 {
    NormalizedF32::new(v.clamp(0.0, 1.0)).unwrap_or(NormalizedF32::ONE)
}

pub(super) const fn fill_rule(rule: tiny_skia::FillRule) -> FillRule {
    match rule {
        tiny_skia::FillRule::Winding => FillRule::NonZero,
        tiny_skia::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}

pub(super) const fn method(mode: tiny_skia::SpreadMode) -> SpreadMethod {
    match mode {
        tiny_skia::SpreadMode::Pad => SpreadMethod::Pad,
        tiny_skia::SpreadMode::Reflect => SpreadMethod::Reflect,
        tiny_skia::SpreadMode::Repeat => SpreadMethod::Repeat,
    }
}

#[expect(clippy::cast_possible_truncation, reason = "within a page")]
pub(crate) fn transform(t: &Affine) -> Transform {
    let [a, b, c, d, e, f] = [t.a, t.b, t.c, t.d, t.e, t.f].map(|v| v as f32);
    Transform::from_row(a, b, c, d, e, f)
}

/// A rectangle: left, top, right, bottom.
#[expect(clippy::cast_possible_truncation, reason = "within a page")]
pub(crate) fn rectangle(b: [f64; 4]) -> Option<Path> {
    let [left, top, right, bottom] = b.map(|v| v as f32);
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_ltrb(left, top, right, bottom)?);
    path.finish()
}

/// Adds a path, curves kept.
pub(crate) fn add_path(
    to: &mut PathBuilder,
    path: &tiny_skia::Path,
    place: Option<&Affine>,
    grain: Grain,
) {
    let at = |p: tiny_skia::Point| {
        let own = [p.x, p.y].map(f64::from);
        grain.of(place.map_or(own, |t| t.apply(own)))
    };
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => {
                let [x, y] = at(p);
                to.move_to(x, y);
            }
            PathSegment::LineTo(p) => {
                let [x, y] = at(p);
                to.line_to(x, y);
            }
            PathSegment::QuadTo(c, p) => {
                let ([cx, cy], [x, y]) = (at(c), at(p));
                to.quad_to(cx, cy, x, y);
            }
            PathSegment::CubicTo(c, e, p) => {
                let ([cx, cy], [ex, ey], [x, y]) = (at(c), at(e), at(p));
                to.cubic_to(cx, cy, ex, ey, x, y);
            }
            PathSegment::Close => to.close(),
        }
    }
}

pub(super) fn add_region(to: &mut PathBuilder, region: &Region, place: &Affine, grain: Grain) {
    for contour in region.contours() {
        let posed: Vec<[f64; 2]> = contour.iter().map(|&p| place.apply(p)).collect();
        add_contour(to, &posed, grain);
    }
}

pub(super) fn add_contour(to: &mut PathBuilder, contour: &[[f64; 2]], grain: Grain) {
    let mut points: Vec<[f32; 2]> = contour.iter().map(|&p| grain.of(p)).collect();
    points.dedup();
    if points.len() < 3 {
        return;
    }
    for (i, [x, y]) in points.into_iter().enumerate() {
        if i == 0 {
            to.move_to(x, y);
        } else {
            to.line_to(x, y);
        }
    }
    to.close();
}

/// The places that points are put on: so many to the unit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Grain(f64);

impl Grain {
    /// For units of so many page pixels.
    pub fn at(scale: f64) -> Self {
        let digits = libm::ceil(libm::log10(scale.max(1e-9) / GRAIN)).clamp(0.0, 6.0);
        Self(libm::round(libm::exp10(digits)))
    }

    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    fn of(self, point: [f64; 2]) -> [f32; 2] {
        point.map(|v| (libm::round(v * self.0) / self.0) as f32)
    }
}
