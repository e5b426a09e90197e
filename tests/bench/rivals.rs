//! The same figure for other renderers.

use layfig::solve::Figure;
use tiny_skia::{FillRule, Path, PathSegment, Pixmap, Transform};
use usvg::Tree;
use vello_cpu::color::{AlphaColor, Srgb};
use vello_cpu::kurbo::BezPath;
use vello_cpu::peniko::Fill;
use vello_cpu::{RenderContext, Resources};

use crate::shapes::{Shapes, What};

/// A figure's SVG as text, as a script would have it for pictures of this size.
///
/// The document is a quarter of that: its clip outlines are four times as fine as its own size
/// asks.
pub fn svg(figure: &Figure, side: u32) -> String {
    let [w, h] = figure.puppet().member().canvas;
    let scale = f64::from(side) / w.max(h);
    layfig::export::svg(figure, "figure", scale / 4.0, None)
}

/// From the document to a square picture that holds it.
pub fn to_square(tree: &Tree, side: u32) -> Transform {
    let fit = side as f32 / tree.size().width().max(tree.size().height());
    Transform::from_scale(fit, fit)
}

/// A figure's SVG, read, and its place in a square picture.
pub fn exported(figure: &Figure, side: u32) -> (Tree, Transform) {
    let tree = parsed(&svg(figure, side));
    let to_side = to_square(&tree, side);
    (tree, to_side)
}

/// Reads an SVG.
pub fn parsed(text: &str) -> Tree {
    Tree::from_str(text, &usvg::Options::default()).expect("our SVG is read")
}

/// vello_cpu with clip paths; gradients are their first colour, pictures are left out.
pub struct Vello {
    context: RenderContext,
    resources: Resources,
    target: vello_cpu::Pixmap,
    clips: Vec<(BezPath, Fill)>,
    list: Vec<(BezPath, Fill, AlphaColor<Srgb>, Vec<usize>)>,
}

fn bez(path: &Path, out: &mut BezPath) {
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
}

const fn fill(rule: FillRule) -> Fill {
    match rule {
        FillRule::Winding => Fill::NonZero,
        FillRule::EvenOdd => Fill::EvenOdd,
    }
}

impl Vello {
    /// Makes its own paths of the shapes.
    pub fn new(shapes: &Shapes, side: u32) -> Self {
        let side = u16::try_from(side).expect("a small picture");
        let clips = shapes
            .clips
            .iter()
            .map(|clip| {
                let mut path = BezPath::new();
                let mut rule = Fill::NonZero;
                for (outline, of_it) in clip {
                    bez(outline, &mut path);
                    if *of_it == FillRule::EvenOdd {
                        rule = Fill::EvenOdd;
                    }
                }
                (path, rule)
            })
            .collect();
        let list = shapes
            .list
            .iter()
            .filter_map(|piece| match &piece.what {
                What::Outline {
                    path, rule, colour, ..
                } => {
                    let [r, g, b, a] = *colour;
                    let mut outline = BezPath::new();
                    bez(path, &mut outline);
                    let colour = AlphaColor::from_rgba8(r, g, b, a);
                    Some((outline, fill(*rule), colour, piece.clips.clone()))
                }
                What::Picture { .. } => None,
            })
            .collect();
        Self {
            context: RenderContext::new(side, side),
            resources: Resources::new(),
            target: vello_cpu::Pixmap::new(side, side),
            clips,
            list,
        }
    }

    /// Draws the picture anew.
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

    /// What it drew.
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

/// tiny-skia called directly, see [`Shapes::draw`].
pub struct Skia<'a> {
    shapes: &'a Shapes,
    target: Pixmap,
}

impl<'a> Skia<'a> {
    /// An empty picture for the shapes.
    pub fn new(shapes: &'a Shapes, side: u32) -> Self {
        Self {
            shapes,
            target: Pixmap::new(side, side).expect("a picture"),
        }
    }

    /// Draws the picture anew.
    pub fn draw(&mut self) {
        self.target.data_mut().fill(0);
        self.shapes.draw(&mut self.target);
    }

    /// What it drew.
    pub const fn pixmap(&self) -> &Pixmap {
        &self.target
    }
}
