//! An SVG document taken apart into filled outlines and clips, and drawn plainly with tiny-skia.
#![allow(dead_code, reason = "each program uses its own part of this")]

use tiny_skia::{
    FillRule, GradientStop, LinearGradient, Mask, Paint, Path, Pixmap, RadialGradient, Rect,
    Shader, SpreadMode, Transform,
};

/// What art is seen through: the union of these outlines, in pixels.
pub type Clip = Vec<(Path, FillRule)>;

/// One thing to draw and what it is seen through.
pub struct Piece {
    pub what: What,
    /// Numbers of clips; all of them apply.
    pub clips: Vec<usize>,
}

/// What a piece is.
pub enum What {
    /// A filled outline in pixels.
    Outline {
        path: Path,
        rule: FillRule,
        paint: Paint<'static>,
        /// The colour, or a gradient's first.
        colour: [u8; 4],
    },
    /// An image, or a group that is more than its children: resvg draws it.
    Picture {
        node: usvg::Node,
        /// From the node's surroundings to pixels.
        to_pixels: Transform,
    },
}

/// A document as pieces, back to front.
pub struct Shapes {
    pub clips: Vec<Clip>,
    pub list: Vec<Piece>,
    /// From the document to pixels.
    root: Transform,
}

impl Shapes {
    /// Takes a tree apart; strokes are expanded.
    pub fn new(tree: &usvg::Tree, to_pixels: Transform) -> Self {
        let mut out = Self {
            clips: Vec::new(),
            list: Vec::new(),
            root: to_pixels,
        };
        out.group(tree.root(), to_pixels, &mut Vec::new());
        out
    }

    /// `outside` takes the group's surroundings to pixels.
    fn group(&mut self, group: &usvg::Group, outside: Transform, clips: &mut Vec<usize>) {
        let before = clips.len();
        let inside = outside.pre_concat(group.transform());
        assert!(group.mask().is_none(), "exported documents have no masks");
        if let Some(clip) = group.clip_path() {
            assert!(clip.clip_path().is_none(), "clips are not clipped");
            let mut outlines = Clip::new();
            gather(
                clip.root(),
                inside.pre_concat(clip.transform()),
                &mut outlines,
            );
            clips.push(self.clips.len());
            self.clips.push(outlines);
        }
        for child in group.children() {
            match child {
                usvg::Node::Group(g) if is_plain(g) => self.group(g, inside, clips),
                usvg::Node::Path(p) => self.path(p, inside, clips),
                usvg::Node::Group(_) | usvg::Node::Image(_) => self.list.push(Piece {
                    what: What::Picture {
                        node: child.clone(),
                        to_pixels: inside,
                    },
                    clips: clips.clone(),
                }),
                usvg::Node::Text(_) => panic!("exported documents have no text"),
            }
        }
        clips.truncate(before);
    }

    fn path(&mut self, p: &usvg::Path, to_pixels: Transform, clips: &[usize]) {
        let crisp = !p.rendering_mode().use_shape_antialiasing();
        let mut put = |path: Option<Path>, rule, source: &usvg::Paint, opacity: f32| {
            let (Some(path), Some(shader)) = (path, shader(source, opacity, to_pixels)) else {
                return;
            };
            let paint = Paint {
                shader,
                anti_alias: !crisp,
                ..Paint::default()
            };
            self.list.push(Piece {
                what: What::Outline {
                    path,
                    rule,
                    paint,
                    colour: colour(source, opacity),
                },
                clips: clips.to_vec(),
            });
        };
        if let Some(fill) = p.fill() {
            let rule = match fill.rule() {
                usvg::FillRule::NonZero => FillRule::Winding,
                usvg::FillRule::EvenOdd => FillRule::EvenOdd,
            };
            let path = p.data().clone().transform(to_pixels);
            put(path, rule, fill.paint(), fill.opacity().get());
        }
        if let Some(stroke) = p.stroke() {
            let scale = tiny_skia::PathStroker::compute_resolution_scale(&to_pixels);
            let dashed = stroke.to_tiny_skia();
            let line = match &dashed.dash {
                Some(dash) => p.data().dash(dash, scale),
                None => Some(p.data().clone()),
            };
            let outline = line.and_then(|line| line.stroke(&dashed, scale));
            let path = outline.and_then(|o| o.transform(to_pixels));
            put(
                path,
                FillRule::Winding,
                stroke.paint(),
                stroke.opacity().get(),
            );
        }
    }

    /// Draws everything over what `target` holds, one piece after the other. What is clipped is
    /// drawn into a layer of its own box, multiplied with each clip, and put on the picture.
    pub fn draw(&self, target: &mut Pixmap) {
        for piece in &self.list {
            match &piece.what {
                What::Outline {
                    path, rule, paint, ..
                } => {
                    if piece.clips.is_empty() {
                        target.fill_path(path, paint, *rule, Transform::identity(), None);
                        continue;
                    }
                    let Some((mut layer, [left, top])) = layer(path.bounds(), target) else {
                        continue;
                    };
                    let shift = Transform::from_translate(-left as f32, -top as f32);
                    layer.fill_path(path, paint, *rule, shift, None);
                    self.put_layer(layer, [left, top], &piece.clips, target);
                }
                What::Picture { node, to_pixels } => {
                    let b = node.abs_layer_bounding_box().expect("a box");
                    let reach = b.to_rect().transform(self.root).expect("a box in pixels");
                    let Some((mut layer, [left, top])) = layer(reach, target) else {
                        continue;
                    };
                    // resvg moves a node's box to the origin; this puts it back.
                    let there = to_pixels.pre_translate(b.x(), b.y());
                    let there = there.post_translate(-left as f32, -top as f32);
                    resvg::render_node(node, there, &mut layer.as_mut());
                    self.put_layer(layer, [left, top], &piece.clips, target);
                }
            }
        }
    }

    fn put_layer(
        &self,
        mut layer: Pixmap,
        [left, top]: [i32; 2],
        clips: &[usize],
        target: &mut Pixmap,
    ) {
        let shift = Transform::from_translate(-left as f32, -top as f32);
        for &clip in clips {
            let mut mask = Mask::new(layer.width(), layer.height()).expect("a mask");
            for (path, rule) in &self.clips[clip] {
                mask.fill_path(path, *rule, true, shift);
            }
            layer.apply_mask(&mask);
        }
        // What tiny-skia's `draw_pixmap` does, without the pattern it makes of the layer.
        let (stride, row) = (target.width() as usize * 4, layer.width() as usize * 4);
        for (y, from) in layer.data().chunks_exact(row).enumerate() {
            let start = (top as usize + y) * stride + left as usize * 4;
            let onto = &mut target.data_mut()[start..start + row];
            for (to, from) in onto.chunks_exact_mut(4).zip(from.chunks_exact(4)) {
                match from[3] {
                    0 => {}
                    255 => to.copy_from_slice(from),
                    alpha => {
                        for (t, f) in to.iter_mut().zip(from) {
                            let rest = u32::from(*t) * u32::from(255 - alpha);
                            *t = (u32::from(*f) + (rest + 127) / 255) as u8;
                        }
                    }
                }
            }
        }
    }
}

/// An empty picture for what `reach` covers of `target`, with a pixel to spare, and its place there.
fn layer(reach: Rect, target: &Pixmap) -> Option<(Pixmap, [i32; 2])> {
    let (w, h) = (target.width() as i32, target.height() as i32);
    let left = (reach.left().floor() as i32 - 1).clamp(0, w);
    let top = (reach.top().floor() as i32 - 1).clamp(0, h);
    let right = (reach.right().ceil() as i32 + 1).clamp(0, w);
    let bottom = (reach.bottom().ceil() as i32 + 1).clamp(0, h);
    let layer = Pixmap::new((right - left) as u32, (bottom - top) as u32)?;
    Some((layer, [left, top]))
}

/// True when a group is no more than its children and a clip.
fn is_plain(group: &usvg::Group) -> bool {
    group.opacity().get() == 1.0
        && group.filters().is_empty()
        && group.mask().is_none()
        && group.blend_mode() == usvg::BlendMode::Normal
}

fn gather(group: &usvg::Group, to_pixels: Transform, out: &mut Clip) {
    for child in group.children() {
        match child {
            usvg::Node::Group(g) => {
                assert!(g.clip_path().is_none(), "clips are not clipped");
                gather(g, to_pixels.pre_concat(g.transform()), out);
            }
            usvg::Node::Path(p) => {
                let even_odd = p
                    .fill()
                    .is_some_and(|f| f.rule() == usvg::FillRule::EvenOdd);
                let rule = if even_odd {
                    FillRule::EvenOdd
                } else {
                    FillRule::Winding
                };
                if let Some(path) = p.data().clone().transform(to_pixels) {
                    out.push((path, rule));
                }
            }
            usvg::Node::Image(_) | usvg::Node::Text(_) => panic!("clips are outlines"),
        }
    }
}

fn shader(source: &usvg::Paint, opacity: f32, to_pixels: Transform) -> Option<Shader<'static>> {
    let stops = |g: &usvg::BaseGradient| -> Vec<GradientStop> {
        g.stops()
            .iter()
            .map(|s| {
                let c = s.color();
                let mut c = tiny_skia::Color::from_rgba8(c.red, c.green, c.blue, 255);
                c.set_alpha(s.opacity().get() * opacity);
                GradientStop::new(s.offset().get(), c)
            })
            .collect()
    };
    let spread = |g: &usvg::BaseGradient| match g.spread_method() {
        usvg::SpreadMethod::Pad => SpreadMode::Pad,
        usvg::SpreadMethod::Reflect => SpreadMode::Reflect,
        usvg::SpreadMethod::Repeat => SpreadMode::Repeat,
    };
    match source {
        usvg::Paint::Color(c) => {
            let mut c = tiny_skia::Color::from_rgba8(c.red, c.green, c.blue, 255);
            c.set_alpha(opacity);
            Some(Shader::SolidColor(c))
        }
        usvg::Paint::LinearGradient(g) => LinearGradient::new(
            (g.x1(), g.y1()).into(),
            (g.x2(), g.y2()).into(),
            stops(g),
            spread(g),
            to_pixels.pre_concat(g.transform()),
        ),
        usvg::Paint::RadialGradient(g) => RadialGradient::new(
            (g.fx(), g.fy()).into(),
            g.fr().get(),
            (g.cx(), g.cy()).into(),
            g.r().get(),
            stops(g),
            spread(g),
            to_pixels.pre_concat(g.transform()),
        ),
        usvg::Paint::Pattern(_) => panic!("exported documents have no patterns"),
    }
}

fn colour(paint: &usvg::Paint, opacity: f32) -> [u8; 4] {
    let c = match paint {
        usvg::Paint::Color(c) => *c,
        usvg::Paint::LinearGradient(g) => g.stops()[0].color(),
        usvg::Paint::RadialGradient(g) => g.stops()[0].color(),
        usvg::Paint::Pattern(_) => usvg::Color::black(),
    };
    [c.red, c.green, c.blue, (opacity * 255.0).round() as u8]
}
