//! What a picture depends on, as digests: nothing else, so that an edit redraws only what it may
//! have changed, and all of it, so that nothing stale is kept.
//!
//! Types are taken apart field by field: a new field asks here whether pictures depend on it.

use crate::art::{
    ClipShape, Colour, Gradient, Library, Outline, PartArt, RasterArt, Role, Shape, Source,
};
use crate::build::MemberView;
use crate::cast::{
    ColourName, Drawing, Garment, Keep, Mask, Opens, Palette, Part, Pose, Seam, Setting, View, Zone,
};
use crate::compare::ENGINE;
use crate::geom::Affine;
use crate::pose::ResolvedPose;

use super::digest::{Digest, Stamp};

/// Digests of all drawings of a member, by their place in the library.
#[must_use]
pub fn drawings(library: &Library) -> Vec<Digest> {
    library.all().iter().map(|art| drawing(art)).collect()
}

/// One view of a member, ready for its poses.
#[derive(Clone, Debug)]
pub struct ViewDigest {
    /// Everything that all poses share.
    frame: Digest,
    palettes: Vec<Digest>,
}

impl ViewDigest {
    /// Of a view; `drawings` are those of its member.
    #[must_use]
    pub fn new(model: &MemberView, drawings: &[Digest]) -> Self {
        let mut stamp = Stamp::new("view");
        stamp.text(ENGINE);
        stamp.numbers(&model.member.canvas);
        stamp.count(usize::from(model.member.grow));
        let View {
            name: _,
            parts,
            seams,
            masks,
            garments,
            // For sheets alone.
            guides: _,
            // For checks alone.
            check: _,
            check_parts: _,
            by_name: _,
        } = model.view();
        stamp.count(parts.len());
        for it in parts {
            part(&mut stamp, it, &model.member.names);
        }
        stamp.count(seams.len());
        for it in seams {
            seam(&mut stamp, it, parts, drawings);
        }
        stamp.count(masks.len());
        for Mask {
            name: _,
            span: _,
            part,
            keep,
            of,
        } in masks
        {
            stamp.count(part.at());
            stamp.count(match keep {
                Keep::Inside => 0,
                Keep::Outside => 1,
            });
            stamp.count(of.len());
            of.iter().for_each(|other| stamp.count(other.at()));
        }
        stamp.count(garments.len());
        for Garment {
            name: _,
            span: _,
            part,
            on,
            trim,
        } in garments
        {
            stamp.count(part.at());
            stamp.count(on.len());
            on.iter().for_each(|host| stamp.count(host.at()));
            stamp.maybe(trim.as_ref(), |stamp, trim| match trim {
                ColourName::Swatch(name) => {
                    stamp.count(0);
                    stamp.text(name);
                }
                ColourName::Plain(rgb) => {
                    stamp.count(1);
                    stamp.bytes(&rgb.0);
                }
            });
        }
        // The first palette is what the others take the place of.
        let first = model.member.palettes.first();
        let palettes = model.member.palettes.iter().map(|palette| {
            let mut stamp = Stamp::new("palette");
            for it in first.into_iter().chain([palette]) {
                swatches(&mut stamp, it);
            }
            stamp.done()
        });
        Self {
            frame: stamp.done(),
            palettes: palettes.collect(),
        }
    }

    /// Of what all poses share.
    #[must_use]
    pub const fn frame(&self) -> &Digest {
        &self.frame
    }

    /// Of a pose of the view.
    #[must_use]
    pub fn pose(&self, view: &View, pose: &Pose, drawings: &[Digest]) -> Digest {
        let pose = ResolvedPose::new(pose, view);
        let palette = self.palettes.get(pose.palette).map_or("", Digest::as_str);
        let mut stamp = Stamp::new("pose");
        stamp.digest(&self.frame);
        stamp.text(&pose.words(|id| drawings[id.at()].as_str(), palette));
        stamp.done()
    }
}

/// Names and colours of a palette.
pub fn swatches(stamp: &mut Stamp, palette: &Palette) {
    let Palette { name: _, swatches } = palette;
    stamp.count(swatches.len());
    for (name, rgb) in swatches {
        stamp.text(name);
        stamp.bytes(&rgb.0);
    }
}

fn part(stamp: &mut Stamp, part: &Part, names: &[String]) {
    // What it shows, each pose says; its limits say only what should be posed.
    let Part {
        name,
        span: _,
        art: _,
        replacements: _,
        parent,
        pivot,
        depth,
        limits: _,
        place,
    } = part;
    stamp.text(&names[name.at()]);
    stamp.maybe(parent.as_ref(), |stamp, parent| stamp.count(parent.at()));
    stamp.numbers(pivot);
    stamp.number(*depth);
    setting(stamp, place);
}

fn seam(stamp: &mut Stamp, seam: &Seam, parts: &[Part], drawings: &[Digest]) {
    let Seam {
        name: _,
        span: _,
        parent,
        child,
        zone,
        opens,
        patch,
    } = seam;
    stamp.count(parent.at());
    stamp.count(child.at());
    match zone {
        // It is measured on the rest pose, whatever the pose that is drawn.
        Zone::Auto => {
            stamp.count(0);
            shown_as(stamp, parts[parent.at()].art, drawings);
            shown_as(stamp, parts[child.at()].art, drawings);
        }
        Zone::Radius(radius) => {
            stamp.count(1);
            stamp.number(*radius);
        }
        Zone::Art(id) => {
            stamp.count(2);
            stamp.digest(&drawings[id.at()]);
        }
    }
    stamp.count(match opens {
        Opens::Both => 0,
        Opens::Parent => 1,
        Opens::Child => 2,
    });
    stamp.maybe(patch.as_ref(), |stamp, id| {
        stamp.digest(&drawings[id.at()]);
    });
}

fn shown_as(stamp: &mut Stamp, drawing: Drawing, drawings: &[Digest]) {
    stamp.maybe(drawing.art(), |stamp, id| stamp.digest(&drawings[id.at()]));
}

fn setting(stamp: &mut Stamp, setting: &Setting) {
    let Setting {
        turn,
        shift,
        scale,
        skew,
    } = setting;
    stamp.number(*turn);
    stamp.numbers(shift);
    stamp.numbers(scale);
    stamp.numbers(skew);
}

fn drawing(art: &PartArt) -> Digest {
    let PartArt {
        file: _,
        id: _,
        shapes,
    } = art;
    let mut stamp = Stamp::new("drawing");
    stamp.count(shapes.len());
    for it in shapes {
        shape(&mut stamp, it);
    }
    stamp.done()
}

fn shape(stamp: &mut Stamp, shape: &Shape) {
    let Shape {
        role,
        outline,
        to_canvas,
        source,
        opacity,
        clips,
        crisp,
        id: _,
    } = shape;
    stamp.count(match role {
        Role::Ink => 0,
        Role::Paint => 1,
    });
    affine(stamp, to_canvas);
    match outline {
        Outline::Fill { path: line, rule } => {
            stamp.count(0);
            path(stamp, line);
            fill_rule(stamp, *rule);
        }
        Outline::Stroke {
            path: line,
            stroke,
            dash,
        } => {
            stamp.count(1);
            path(stamp, line);
            stamp.singles(&[stroke.width, stroke.miter_limit]);
            stamp.count(match stroke.line_cap {
                tiny_skia::LineCap::Butt => 0,
                tiny_skia::LineCap::Round => 1,
                tiny_skia::LineCap::Square => 2,
            });
            stamp.count(match stroke.line_join {
                tiny_skia::LineJoin::Miter => 0,
                tiny_skia::LineJoin::MiterClip => 1,
                tiny_skia::LineJoin::Round => 2,
                tiny_skia::LineJoin::Bevel => 3,
            });
            stamp.maybe(dash.as_ref(), |stamp, (lengths, offset)| {
                stamp.count(lengths.len());
                stamp.singles(lengths);
                stamp.singles(&[*offset]);
            });
        }
        Outline::Raster(raster) => {
            stamp.count(2);
            raster_art(stamp, raster);
        }
    }
    paint(stamp, source);
    stamp.singles(&[*opacity]);
    stamp.count(clips.len());
    for ClipShape { paths } in clips {
        stamp.count(paths.len());
        for (line, rule, to_canvas) in paths {
            path(stamp, line);
            fill_rule(stamp, *rule);
            affine(stamp, to_canvas);
        }
    }
    stamp.count(usize::from(*crisp));
}

fn raster_art(stamp: &mut Stamp, raster: &RasterArt) {
    raster.put_into(&mut |bytes| stamp.bytes(bytes));
}

fn paint(stamp: &mut Stamp, source: &Source) {
    match source {
        Source::Solid(solid) => {
            stamp.count(0);
            colour(stamp, solid);
        }
        Source::Linear(stops, line) => {
            stamp.count(1);
            gradient(stamp, stops);
            stamp.singles(line);
        }
        Source::Radial(stops, circles) => {
            stamp.count(2);
            gradient(stamp, stops);
            stamp.singles(circles);
        }
    }
}

fn colour(stamp: &mut Stamp, colour: &Colour) {
    let Colour { rgb, swatch } = colour;
    stamp.bytes(&rgb.0);
    stamp.maybe(swatch.as_ref(), |stamp, name| stamp.text(name));
}

fn gradient(stamp: &mut Stamp, gradient: &Gradient) {
    let Gradient {
        stops,
        spread,
        transform: t,
    } = gradient;
    stamp.count(stops.len());
    for (offset, stop, opacity) in stops {
        stamp.singles(&[*offset, *opacity]);
        colour(stamp, stop);
    }
    stamp.count(match spread {
        tiny_skia::SpreadMode::Pad => 0,
        tiny_skia::SpreadMode::Reflect => 1,
        tiny_skia::SpreadMode::Repeat => 2,
    });
    stamp.singles(&[t.sx, t.ky, t.kx, t.sy, t.tx, t.ty]);
}

fn path(stamp: &mut Stamp, path: &tiny_skia::Path) {
    stamp.count(path.verbs().len());
    let verbs: Vec<u8> = path.verbs().iter().map(|verb| *verb as u8).collect();
    stamp.bytes(&verbs);
    stamp.count(path.points().len());
    for point in path.points() {
        stamp.singles(&[point.x, point.y]);
    }
}

fn fill_rule(stamp: &mut Stamp, rule: tiny_skia::FillRule) {
    stamp.count(match rule {
        tiny_skia::FillRule::Winding => 0,
        tiny_skia::FillRule::EvenOdd => 1,
    });
}

fn affine(stamp: &mut Stamp, t: &Affine) {
    stamp.numbers(&[t.a, t.b, t.c, t.d, t.e, t.f]);
}
