//! The same figure for other renderers.

use tiny_skia::{
    FillRule, Mask, MaskType, Paint, Path, PathSegment, Pixmap, PixmapPaint, Transform,
};
use vello_cpu::color::{AlphaColor, Srgb};
use vello_cpu::kurbo::BezPath;
use vello_cpu::peniko::Fill;
use vello_cpu::{RenderContext, Resources};

/// One filled outline and what it is seen through, in pixels.
pub struct Op {
    path: Path,
    rule: FillRule,
    colour: [u8; 4],
    /// Numbers of clips.
    clips: Vec<usize>,
}

/// A figure as filled outlines in pixels.
pub struct Ops {
    clips: Vec<(Path, FillRule)>,
    list: Vec<Op>,
}

impl Ops {
    /// Takes a tree apart; strokes are expanded, gradients become their first colour.
    pub fn new(tree: &usvg::Tree, to_pixels: Transform) -> Self {
        let mut out = Self {
            clips: Vec::new(),
            list: Vec::new(),
        };
        out.group(tree.root(), to_pixels, &mut Vec::new());
        out
    }

    fn group(&mut self, group: &usvg::Group, to_pixels: Transform, clips: &mut Vec<usize>) {
        let before = clips.len();
        if let Some(clip) = group.clip_path() {
            let base = to_pixels
                .pre_concat(group.abs_transform())
                .pre_concat(clip.transform());
            let mut builder = tiny_skia::PathBuilder::new();
            let mut rule = FillRule::Winding;
            gather(clip.root(), base, &mut builder, &mut rule);
            if let Some(path) = builder.finish() {
                clips.push(self.clips.len());
                self.clips.push((path, rule));
            }
        }
        for child in group.children() {
            match child {
                usvg::Node::Group(g) => self.group(g, to_pixels, clips),
                usvg::Node::Path(p) => self.path(p, to_pixels, clips),
                _ => {}
            }
        }
        clips.truncate(before);
    }

    fn path(&mut self, p: &usvg::Path, to_pixels: Transform, clips: &[usize]) {
        let t = to_pixels.pre_concat(p.abs_transform());
        if let Some(fill) = p.fill() {
            let rule = match fill.rule() {
                usvg::FillRule::NonZero => FillRule::Winding,
                usvg::FillRule::EvenOdd => FillRule::EvenOdd,
            };
            if let Some(path) = p.data().clone().transform(t) {
                self.list.push(Op {
                    path,
                    rule,
                    colour: colour(fill.paint(), fill.opacity().get()),
                    clips: clips.to_vec(),
                });
            }
        }
        if let Some(stroke) = p.stroke() {
            let outline = p.data().stroke(
                &stroke.to_tiny_skia(),
                tiny_skia::PathStroker::compute_resolution_scale(&t),
            );
            if let Some(path) = outline.and_then(|o| o.transform(t)) {
                let colour = colour(stroke.paint(), stroke.opacity().get());
                self.list.push(Op {
                    path,
                    rule: FillRule::Winding,
                    colour,
                    clips: clips.to_vec(),
                });
            }
        }
    }
}

fn gather(
    group: &usvg::Group,
    base: Transform,
    out: &mut tiny_skia::PathBuilder,
    rule: &mut FillRule,
) {
    for child in group.children() {
        match child {
            usvg::Node::Group(g) => gather(g, base, out, rule),
            usvg::Node::Path(p) => {
                if p.fill()
                    .is_some_and(|f| f.rule() == usvg::FillRule::EvenOdd)
                {
                    *rule = FillRule::EvenOdd;
                }
                if let Some(path) = p
                    .data()
                    .clone()
                    .transform(base.pre_concat(p.abs_transform()))
                {
                    out.push_path(&path);
                }
            }
            _ => {}
        }
    }
}

fn colour(paint: &usvg::Paint, opacity: f32) -> [u8; 4] {
    let rgb = match paint {
        usvg::Paint::Color(c) => *c,
        usvg::Paint::LinearGradient(g) => g.stops()[0].color(),
        usvg::Paint::RadialGradient(g) => g.stops()[0].color(),
        usvg::Paint::Pattern(_) => usvg::Color::black(),
    };
    [
        rgb.red,
        rgb.green,
        rgb.blue,
        (opacity * 255.0).round() as u8,
    ]
}

/// vello_cpu with clip paths.
pub struct Vello {
    context: RenderContext,
    resources: Resources,
    target: vello_cpu::Pixmap,
    clips: Vec<(BezPath, Fill)>,
    list: Vec<(BezPath, Fill, AlphaColor<Srgb>, Vec<usize>)>,
}

fn bez(path: &Path) -> BezPath {
    let mut out = BezPath::new();
    let p = |p: tiny_skia::Point| (f64::from(p.x), f64::from(p.y));
    for s in path.segments() {
        match s {
            PathSegment::MoveTo(a) => out.move_to(p(a)),
            PathSegment::LineTo(a) => out.line_to(p(a)),
            PathSegment::QuadTo(a, b) => out.quad_to(p(a), p(b)),
            PathSegment::CubicTo(a, b, c) => out.curve_to(p(a), p(b), p(c)),
            PathSegment::Close => out.close_path(),
        }
    }
    out
}

const fn fill(rule: FillRule) -> Fill {
    match rule {
        FillRule::Winding => Fill::NonZero,
        FillRule::EvenOdd => Fill::EvenOdd,
    }
}

impl Vello {
    pub fn new(ops: &Ops, side: u32) -> Self {
        Self {
            context: RenderContext::new(side as u16, side as u16),
            resources: Resources::new(),
            target: vello_cpu::Pixmap::new(side as u16, side as u16),
            clips: ops.clips.iter().map(|(p, r)| (bez(p), fill(*r))).collect(),
            list: ops
                .list
                .iter()
                .map(|o| {
                    let [r, g, b, a] = o.colour;
                    (
                        bez(&o.path),
                        fill(o.rule),
                        AlphaColor::from_rgba8(r, g, b, a),
                        o.clips.clone(),
                    )
                })
                .collect(),
        }
    }

    pub fn draw(&mut self) {
        self.context.reset();
        for (path, rule, colour, clips) in &self.list {
            for &c in clips {
                self.context.set_fill_rule(self.clips[c].1);
                self.context.push_clip_path(&self.clips[c].0);
            }
            self.context.set_fill_rule(*rule);
            self.context.set_paint(*colour);
            self.context.fill_path(path);
            for _ in clips {
                self.context.pop_clip();
            }
        }
        self.context.flush();
        self.context.render(&mut self.target, &mut self.resources);
    }

    pub fn pixmap(&self) -> Pixmap {
        let mut out = Pixmap::new(
            u32::from(self.target.width()),
            u32::from(self.target.height()),
        )
        .expect("a picture");
        out.data_mut()
            .copy_from_slice(self.target.data_as_u8_slice());
        out
    }
}

/// tiny-skia called directly: what is clipped is drawn into a layer of its own box, masked, and
/// put on the picture.
pub struct Skia {
    list: Vec<(Op, Vec<(Path, FillRule)>)>,
    target: Pixmap,
}

impl Skia {
    pub fn new(ops: &Ops, side: u32) -> Self {
        let list = ops
            .list
            .iter()
            .map(|o| {
                let clips = o.clips.iter().map(|&c| ops.clips[c].clone()).collect();
                let op = Op {
                    path: o.path.clone(),
                    rule: o.rule,
                    colour: o.colour,
                    clips: Vec::new(),
                };
                (op, clips)
            })
            .collect();
        Self {
            list,
            target: Pixmap::new(side, side).expect("a picture"),
        }
    }

    pub fn draw(&mut self) {
        self.target.data_mut().fill(0);
        for (op, clips) in &self.list {
            let mut paint = Paint::default();
            let [r, g, b, a] = op.colour;
            paint.set_color_rgba8(r, g, b, a);
            if clips.is_empty() {
                self.target
                    .fill_path(&op.path, &paint, op.rule, Transform::identity(), None);
                continue;
            }
            let b = op.path.bounds();
            let (w, h) = (self.target.width() as i32, self.target.height() as i32);
            let left = (b.left().floor() as i32 - 1).clamp(0, w);
            let top = (b.top().floor() as i32 - 1).clamp(0, h);
            let right = (b.right().ceil() as i32 + 1).clamp(0, w);
            let bottom = (b.bottom().ceil() as i32 + 1).clamp(0, h);
            let Some(mut layer) = Pixmap::new((right - left) as u32, (bottom - top) as u32) else {
                continue;
            };
            let shift = Transform::from_translate(-left as f32, -top as f32);
            layer.fill_path(&op.path, &paint, op.rule, shift, None);
            let Some(mut mask) = Mask::new(layer.width(), layer.height()) else {
                continue;
            };
            for (i, (path, rule)) in clips.iter().enumerate() {
                if i == 0 {
                    mask.fill_path(path, *rule, true, shift);
                } else {
                    mask.intersect_path(path, *rule, true, shift);
                }
            }
            let _ = MaskType::Alpha;
            layer.apply_mask(&mask);
            self.target.draw_pixmap(
                left,
                top,
                layer.as_ref(),
                &PixmapPaint::default(),
                Transform::identity(),
                None,
            );
        }
    }

    pub const fn pixmap(&self) -> &Pixmap {
        &self.target
    }
}
