//! Gradients, drawn by tiny-skia into the box of the shape they fill.

use tiny_skia::{
    Color, GradientStop, LinearGradient, Paint, Pixmap, RadialGradient, Rect, Shader, Transform,
};

use crate::art::{Gradient, Source};
use crate::geom::Affine;

fn stops(gradient: &Gradient, opacity: f32) -> Vec<GradientStop> {
    gradient
        .stops
        .iter()
        .map(|(offset, colour, alpha)| {
            let [r, g, b] = colour.rgb.0;
            let mut c = Color::from_rgba8(r, g, b, 255);
            c.set_alpha(alpha * opacity);
            GradientStop::new(*offset, c)
        })
        .collect()
}

/// The gradient over a box of pixels (left, top, right, bottom); `to_pixels` takes the shape's own
/// coordinates to pixels. `None` for a solid source or a gradient without extent.
pub(super) fn pixels(
    source: &Source,
    opacity: f32,
    to_pixels: &Affine,
    bounds: [u32; 4],
) -> Option<Pixmap> {
    let shift = Affine::translate([-f64::from(bounds[0]), -f64::from(bounds[1])]);
    let place = |g: &Gradient| -> Transform {
        shift
            .after(*to_pixels)
            .after(Affine::from_skia(g.transform))
            .to_skia()
    };
    let shader: Shader<'_> = match source {
        Source::Solid(_) => return None,
        Source::Linear(g, [x1, y1, x2, y2]) => LinearGradient::new(
            (*x1, *y1).into(),
            (*x2, *y2).into(),
            stops(g, opacity),
            g.spread,
            place(g),
        )?,
        Source::Radial(g, [fx, fy, fr, cx, cy, r]) => RadialGradient::new(
            (*fx, *fy).into(),
            *fr,
            (*cx, *cy).into(),
            *r,
            stops(g, opacity),
            g.spread,
            place(g),
        )?,
    };
    let (w, h) = (bounds[2] - bounds[0], bounds[3] - bounds[1]);
    let mut out = Pixmap::new(w, h)?;
    let paint = Paint {
        shader,
        anti_alias: false,
        ..Paint::default()
    };
    #[expect(clippy::cast_precision_loss, reason = "under 32768")]
    out.fill_rect(
        Rect::from_xywh(0.0, 0.0, w as f32, h as f32)?,
        &paint,
        Transform::identity(),
        None,
    );
    Some(out)
}
