//! What a picture depends on, as digests: nothing else, so that an edit redraws only what it may
//! have changed, and all of it, so that nothing stale is kept.
//!
//! Types are taken apart field by field: a new field asks here whether pictures depend on it.

use crate::art::{Library, PartArt};
use crate::build::MemberView;
use crate::cast::{
    ColourName, Drawing, Garment, Keep, Mask, Opens, Palette, Part, Pose, Seam, Setting, View, Zone,
};
use crate::compare::ENGINE;
use crate::compare::recording::{colour_words, geometry, role_word};
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
            // What poses come to by them is in their own digests.
            drawing: _,
            ground: _,
            parts,
            seams,
            masks,
            garments,
            // Poses are solved with them.
            facing: _,
            shortest: _,
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
        // What palettes take the place of.
        let drawn = &model.member.drawn;
        let palettes = model.member.palettes.iter().map(|palette| {
            let mut stamp = Stamp::new("palette");
            for it in [drawn, palette] {
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
        // Where its line ends is seen of a stretched part alone.
        let stretched = view.parts.iter().zip(&pose.parts);
        for (part, _) in stretched.filter(|(_, posed)| posed.setting.stretch != 1.0) {
            stamp.maybe(part.end.as_ref(), |stamp, end| stamp.numbers(end));
        }
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
    // What it shows, and how it lies, each pose says; its limits say only what should be posed.
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
        space: _,
        // What poses come to by these is in their own digests.
        points: _,
        look: _,
        tip: _,
        end: _,
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
        stretch,
    } = setting;
    stamp.number(*turn);
    stamp.numbers(shift);
    stamp.numbers(scale);
    stamp.numbers(skew);
    stamp.number(*stretch);
}

fn drawing(art: &PartArt) -> Digest {
    let PartArt {
        file: _,
        id: _,
        shapes,
    } = art;
    let mut stamp = Stamp::new("drawing");
    stamp.count(shapes.len());
    for shape in shapes {
        stamp.text(role_word(shape.role));
        stamp.digest(&geometry(shape, |raster, hasher| {
            raster.put_into(&mut |bytes| {
                hasher.update(&(bytes.len() as u64).to_le_bytes());
                hasher.update(bytes);
            });
        }));
        stamp.count(shape.clips.len());
        let clips = shape.clips.iter();
        clips.for_each(|clip| stamp.count(clip.paths.len()));
        let (colours, gradient) = colour_words(&shape.source);
        stamp.count(colours.len());
        colours.iter().for_each(|words| stamp.text(words));
        stamp.maybe(gradient.as_deref(), Stamp::text);
    }
    stamp.done()
}
