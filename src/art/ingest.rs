//! A resolved SVG subtree, taken apart into ink and paint.

use std::collections::BTreeSet;
use std::sync::Arc;

use tiny_skia::{FillRule, SpreadMode};
use usvg::{BlendMode, Group, Node, Paint, PaintOrder, Path, ShapeRendering};

use super::document::{Shown, Target};
use super::raster::{RasterArt, RasterOutline, parent_transform};
use super::{ClipShape, Colour, Gradient, Outline, Rgb, Role, Shape, Source};
use crate::geom::Affine;

/// What an element inherits from the groups around it.
#[derive(Clone, Default)]
struct Inherited {
    role: Option<Role>,
    swatch: Option<String>,
    opacity: f32,
    clips: Vec<ClipShape>,
    /// Child numbers from the root.
    route: Vec<usize>,
}

/// The shapes of the element `id`, back to front. Its ancestors lend it their transforms, not their
/// opacity, clips, masks or filters: a part is what its own element says. Marks in it are not drawn.
pub(super) fn shapes(shown: &Shown, target: &Target, marks: &BTreeSet<&str>) -> Option<Vec<Shape>> {
    let mut route = Vec::new();
    let node = find(shown.tree.root(), target, &mut route)?;
    let mut out = Vec::new();
    let mut walk = Walk {
        shown,
        marks,
        out: &mut out,
    };
    let start = Inherited {
        opacity: 1.0,
        route,
        ..Inherited::default()
    };
    if blends(node) {
        // Blending looks at what lies beneath in the part: the part is one picture.
        let named = named(node.id(), &start);
        walk.raster(node, &named);
    } else {
        walk.node(node, &start);
    }
    Some(out)
}

fn find<'a>(group: &'a Group, target: &Target, route: &mut Vec<usize>) -> Option<&'a Node> {
    for (i, child) in group.children().iter().enumerate() {
        route.push(i);
        if child.id() == target.id {
            return Some(child);
        }
        if let Node::Group(g) = child {
            // A line's own opacity, clip, mask or filter lies in a group without a name about it.
            let own = |only: &Node| only.id() == target.id && !matches!(only, Node::Group(_));
            if let (true, "", [only]) = (target.effect, g.id(), g.children())
                && own(only)
            {
                return Some(child);
            }
            if let Some(found) = find(g, target, route) {
                return Some(found);
            }
        }
        route.pop();
    }
    None
}

fn blends(node: &Node) -> bool {
    match node {
        Node::Group(g) => g.blend_mode() != BlendMode::Normal || g.children().iter().any(blends),
        _ => false,
    }
}

/// True when an id says `word`: the whole id, or its last word, digits after it aside.
/// `chain_link` does not end in the word `ink`.
fn says(id: &str, word: &str) -> bool {
    let id = id.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '-' | '_' | '.'));
    let Some(tail) = id.len().checked_sub(word.len()).and_then(|at| id.get(at..)) else {
        return false;
    };
    let before = id[..id.len() - word.len()].chars().next_back();
    if tail == word {
        before.is_none_or(|c| !c.is_alphanumeric())
    } else {
        // camelCase: `sleeveInk`
        let capital = tail.chars().next().is_some_and(char::is_uppercase);
        capital && tail.eq_ignore_ascii_case(word) && before.is_none_or(|c| !c.is_uppercase())
    }
}

fn named(id: &str, around: &Inherited) -> Inherited {
    let mut here = around.clone();
    if says(id, "ink") {
        here.role = Some(Role::Ink);
    } else if says(id, "paint") {
        here.role = Some(Role::Paint);
    }
    if let Some(name) = id.strip_prefix("swatch-") {
        here.swatch = Some(name.to_owned());
    }
    here
}

struct Walk<'a> {
    shown: &'a Shown,
    marks: &'a BTreeSet<&'a str>,
    out: &'a mut Vec<Shape>,
}

impl Walk<'_> {
    fn to_canvas(&self, transform: tiny_skia::Transform) -> Affine {
        self.shown.to_user.after(Affine::from_skia(transform))
    }

    fn node(&mut self, node: &Node, around: &Inherited) {
        match node {
            Node::Group(group) => self.group(node, group, around),
            Node::Path(path) => self.path(node, path, &named(path.id(), around)),
            Node::Image(image) if image.is_visible() => {
                self.raster(node, &named(image.id(), around))
            }
            Node::Image(_) | Node::Text(_) => {}
        }
    }

    fn group(&mut self, node: &Node, group: &Group, around: &Inherited) {
        let mut here = named(group.id(), around);
        let plain_clip = match group.clip_path() {
            None => Some(Vec::new()),
            Some(clip) => self.plain_clip(clip, group),
        };
        let one_look = group.opacity().get() >= 1.0 || single_look(group);
        let (Some(clips), true, true, None) = (
            plain_clip,
            one_look,
            group.filters().is_empty(),
            group.mask(),
        ) else {
            // A name on the one element inside still counts.
            if let Some(inner) = only_child_id(group) {
                here = named(inner, &here);
            }
            self.raster(node, &here);
            return;
        };
        here.opacity *= group.opacity().get();
        here.clips.extend(clips);
        for (i, child) in group.children().iter().enumerate() {
            if self.marks.contains(child.id()) {
                continue;
            }
            let mut inner = here.clone();
            inner.route.push(i);
            self.node(child, &inner);
        }
    }

    fn path(&mut self, node: &Node, path: &Path, here: &Inherited) {
        if !path.is_visible() {
            return;
        }
        let pattern = |p: &Paint| matches!(p, Paint::Pattern(_));
        if path.fill().is_some_and(|f| pattern(f.paint()))
            || path.stroke().is_some_and(|s| pattern(s.paint()))
        {
            self.raster(node, here);
            return;
        }
        let to_canvas = self.to_canvas(path.abs_transform());
        let crisp = matches!(
            path.rendering_mode(),
            ShapeRendering::CrispEdges | ShapeRendering::OptimizeSpeed
        );
        let shape = |role: Role, outline: Outline, source: Source, opacity: f32| Shape {
            role: here.role.unwrap_or(role),
            outline,
            to_canvas,
            source,
            opacity: opacity * here.opacity,
            clips: here.clips.clone(),
            crisp,
            id: path.id().to_owned(),
        };
        let bounds = path.data().bounds();
        let flat = bounds.width() == 0.0 || bounds.height() == 0.0;
        let fill = path.fill().filter(|_| !flat).and_then(|f| {
            let rule = fill_rule(f.rule());
            let source = source(f.paint(), here.swatch.as_deref())?;
            Some(shape(
                Role::Paint,
                Outline::Fill {
                    path: path.data().clone(),
                    rule,
                },
                source,
                f.opacity().get(),
            ))
        });
        let stroke = path.stroke().and_then(|s| {
            let source = source(s.paint(), here.swatch.as_deref())?;
            let dash = s
                .dasharray()
                .map(|lengths| (lengths.to_vec(), s.dashoffset()));
            let outline = Outline::Stroke {
                path: path.data().clone(),
                stroke: s.to_tiny_skia(),
                dash,
            };
            Some(shape(Role::Ink, outline, source, s.opacity().get()))
        });
        match path.paint_order() {
            PaintOrder::FillAndStroke => self.out.extend(fill.into_iter().chain(stroke)),
            PaintOrder::StrokeAndFill => self.out.extend(stroke.into_iter().chain(fill)),
        }
    }

    fn raster(&mut self, node: &Node, here: &Inherited) {
        let mut outlines = Vec::new();
        self.silhouette(node, &mut outlines);
        self.out.push(Shape {
            role: here.role.unwrap_or(Role::Paint),
            outline: Outline::Raster(RasterArt::new(self.shown, here.route.clone(), outlines)),
            to_canvas: self.to_canvas(parent_transform(node)),
            source: Source::Solid(Colour {
                rgb: Rgb([0, 0, 0]),
                swatch: None,
            }),
            opacity: here.opacity,
            clips: here.clips.clone(),
            crisp: false,
            id: node.id().to_owned(),
        });
    }

    fn silhouette(&self, node: &Node, out: &mut Vec<RasterOutline>) {
        match node {
            Node::Group(g) => g.children().iter().for_each(|c| self.silhouette(c, out)),
            Node::Path(p) if p.is_visible() => {
                let to_canvas = self.to_canvas(p.abs_transform());
                if let Some(fill) = p.fill() {
                    out.push(RasterOutline {
                        path: p.data().clone(),
                        rule: fill_rule(fill.rule()),
                        stroke: None,
                        to_canvas,
                    });
                }
                if let Some(stroke) = p.stroke() {
                    out.push(RasterOutline {
                        path: p.data().clone(),
                        rule: FillRule::Winding,
                        stroke: Some(stroke.to_tiny_skia()),
                        to_canvas,
                    });
                }
            }
            Node::Image(image) => {
                if let Some(b) = image.bounding_box().to_non_zero_rect() {
                    let path = tiny_skia::PathBuilder::from_rect(b.to_rect());
                    let to_canvas = self.to_canvas(image.abs_transform());
                    out.push(RasterOutline {
                        path,
                        rule: FillRule::Winding,
                        stroke: None,
                        to_canvas,
                    });
                }
            }
            Node::Path(_) | Node::Text(_) => {}
        }
    }

    /// The clip path as outlines, one entry for each that must hold; `None` when it holds more than
    /// plain paths.
    fn plain_clip(&self, clip: &usvg::ClipPath, on: &Group) -> Option<Vec<ClipShape>> {
        let mut all = match clip.clip_path() {
            Some(outer) => self.plain_clip(outer, on)?,
            None => Vec::new(),
        };
        // A clip path lives in the coordinates of the group it clips.
        let base = self
            .to_canvas(on.abs_transform())
            .after(Affine::from_skia(clip.transform()));
        let mut paths = Vec::new();
        clip_paths(clip.root(), &base, &mut paths)?;
        all.push(ClipShape { paths });
        Some(all)
    }
}

fn clip_paths(
    group: &Group,
    base: &Affine,
    out: &mut Vec<(tiny_skia::Path, FillRule, Affine)>,
) -> Option<()> {
    for child in group.children() {
        match child {
            Node::Group(g) if g.clip_path().is_none() => clip_paths(g, base, out)?,
            Node::Path(p) if p.is_visible() => {
                let rule = p.fill().map_or(FillRule::Winding, |f| fill_rule(f.rule()));
                out.push((
                    p.data().clone(),
                    rule,
                    base.after(Affine::from_skia(p.abs_transform())),
                ));
            }
            Node::Path(_) => {}
            _ => return None,
        }
    }
    Some(())
}

/// True when a group's opacity may be given to what is in it: one fill or one stroke, nothing that
/// could overlap itself.
fn single_look(group: &Group) -> bool {
    match group.children() {
        [Node::Path(p)] => p.fill().is_none() || p.stroke().is_none(),
        [Node::Group(g)] => {
            g.opacity().get() >= 1.0
                && g.mask().is_none()
                && g.filters().is_empty()
                && single_look(g)
        }
        [_] | [] => false,
        _ => false,
    }
}

fn only_child_id(group: &Group) -> Option<&str> {
    match group.children() {
        [Node::Group(g)] if g.id().is_empty() => only_child_id(g),
        [one] if !one.id().is_empty() => Some(one.id()),
        _ => None,
    }
}

const fn fill_rule(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::Winding,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}

const fn rgb(c: usvg::Color) -> Rgb {
    Rgb([c.red, c.green, c.blue])
}

fn source(paint: &Paint, swatch: Option<&str>) -> Option<Source> {
    match paint {
        Paint::Color(c) => Some(Source::Solid(Colour {
            rgb: rgb(*c),
            swatch: swatch.map(str::to_owned),
        })),
        Paint::LinearGradient(g) => Some(Source::Linear(
            gradient(g),
            [g.x1(), g.y1(), g.x2(), g.y2()],
        )),
        Paint::RadialGradient(g) => Some(Source::Radial(
            gradient(g),
            [g.fx(), g.fy(), g.fr().get(), g.cx(), g.cy(), g.r().get()],
        )),
        Paint::Pattern(_) => None,
    }
}

fn gradient(base: &usvg::BaseGradient) -> Arc<Gradient> {
    let stops = base
        .stops()
        .iter()
        .map(|s| {
            (
                s.offset().get(),
                Colour {
                    rgb: rgb(s.color()),
                    swatch: None,
                },
                s.opacity().get(),
            )
        })
        .collect();
    let spread = match base.spread_method() {
        usvg::SpreadMethod::Pad => SpreadMode::Pad,
        usvg::SpreadMethod::Reflect => SpreadMode::Reflect,
        usvg::SpreadMethod::Repeat => SpreadMode::Repeat,
    };
    Arc::new(Gradient {
        stops,
        spread,
        transform: base.transform(),
    })
}

#[cfg(test)]
mod tests {
    use super::says;

    #[test]
    fn names_say_ink_only_as_a_word() {
        for id in [
            "ink",
            "elbow-ink",
            "elbow_ink",
            "elbow.ink",
            "sleeveInk",
            "ink-2",
            "elbow_ink3",
        ] {
            assert!(says(id, "ink"), "{id}");
        }
        for id in [
            "chain_link",
            "wink",
            "blink2",
            "drInk-x",
            "",
            "in",
            "PINK",
            "inkwell",
        ] {
            assert!(!says(id, "ink"), "{id}");
        }
    }
}
