//! A pose's new picture, and what an approved set would keep of it.

use std::collections::BTreeMap;

use super::model::ViewRecord;
use super::round::{Round, scale_of};
use crate::build::make::grow::{Grown, cut_off};
use crate::build::make::owners::PartMap;
use crate::build::make::pictures::Framing;
use crate::build::plan::Job;
use crate::build::run::Failure;
use crate::compare::{
    ApprovedPose, Digest, ENGINE, Ground, PartRecord, Picture, PoseRecord, RigRecord,
};
use crate::diag::Problem;
use crate::draw::{OwnerMap, Scratch};
use crate::files::relative;
use crate::geom::Affine;
use crate::solve::Figure;

/// A pose's new picture.
pub(super) struct Drawn {
    pub picture: Picture,
    pub pixmap: tiny_skia::Pixmap,
    pub owners: OwnerMap,
    pub seen: ApprovedPose,
    pub cut_off: Option<Problem>,
}

impl Drawn {
    pub fn new(
        round: &Round<'_>,
        job: &Job<'_>,
        model: &ViewRecord<'_>,
        scratch: &mut Scratch,
    ) -> Result<Self, Failure> {
        let &Round {
            plan,
            puppet,
            sources,
            style,
            ..
        } = round;
        let member = &plan.models[job.model].member;
        let figure = puppet(job.model).figure(job.pose);
        let figure = figure.map_err(Failure::Input)?;
        let scale = scale_of(member, style.scale);
        let viewport = Framing::Scale(scale).viewport(member.canvas);
        let grow = style.grow || member.grow;
        let cut_off = cut_off(&figure, job, viewport.shown(), grow);
        let grown = Grown::new(&figure, viewport, grow);
        let (viewport, origin) = (grown.viewport, grown.shift);
        let frame = grown.draw(&figure, None, true, scratch)?;
        let Some(owners) = frame.owners else {
            return Err(Failure::Fault("the owner map was not made".into()));
        };
        let picture = Picture::of(frame.pixels.as_ref());
        let list = &plan.sections[job.section].list;
        let mut inputs = model.inputs.clone();
        let text = sources.iter().find(|s| s.path == list.path);
        if let Some(text) = text {
            let name = relative(&member.folder, &list.path);
            inputs.insert(name, Digest::of(text.text.as_bytes()));
        }
        let nothing = Digest::of(b"");
        let seen = ApprovedPose {
            engine: ENGINE.to_owned(),
            width: viewport.width,
            height: viewport.height,
            scale,
            origin,
            pixels: Digest::of_pixels(viewport.width, viewport.height, &picture.rgba, origin),
            picture: nothing.clone(),
            owners: nothing,
            rig: model.digest.clone(),
            inputs,
            pose: PoseRecord::of(job.pose, &list.poses, member),
            order: order(&figure),
            parts: parts(&figure, &model.rig, &owners),
        };
        Ok(Self {
            picture,
            pixmap: frame.pixels,
            owners,
            seen,
            cut_off,
        })
    }
}

impl Drawn {
    /// The picture on a larger ground. Its digest stays that of the picture as it is.
    pub fn on(&self, ground: Ground) -> Result<Self, Failure> {
        let own = Ground::of(&self.seen);
        let size = tiny_skia::IntSize::from_wh(ground.width, ground.height);
        let data = ground.lay(self.pixmap.data(), own, 4);
        let pixmap = size.and_then(|size| tiny_skia::Pixmap::from_vec(data, size));
        Ok(Self {
            picture: ground.picture(&self.picture, own),
            pixmap: pixmap.ok_or_else(|| Failure::Fault("a picture without pixels".into()))?,
            owners: OwnerMap {
                width: ground.width,
                height: ground.height,
                owners: ground.lay(&self.owners.owners, own, 1),
            },
            seen: ground.pose(&self.seen),
            cut_off: self.cut_off.clone(),
        })
    }
}

/// Parts back to front, by number.
fn order(figure: &Figure) -> Vec<u32> {
    let names = figure.part_names();
    let place = |name: &str| names.iter().position(|n| *n == name);
    let order = figure.depth_order();
    order
        .into_iter()
        .filter_map(|name| u32::try_from(place(name)?).ok())
        .collect()
}

fn parts(figure: &Figure, rig: &RigRecord, owners: &OwnerMap) -> BTreeMap<String, PartRecord> {
    let names = figure.part_names();
    let counted = PartMap::new(owners, &names);
    let mut out = BTreeMap::new();
    for owner in counted.owners {
        let world = |name: &str| figure.transform_of(name).unwrap_or(Affine::IDENTITY);
        let parent = rig.parts.get(&owner.name).and_then(|p| p.parent.as_deref());
        let own = world(&owner.name);
        let set = match parent {
            Some(parent) => world(parent).inverse().map_or(own, |back| back.after(own)),
            None => own,
        };
        // What is left beyond this is the rounding of sums.
        let rounded = |v: f64| {
            let r = libm::round(v * 1e9) / 1e9;
            if r == 0.0 { 0.0 } else { r }
        };
        let set = [set.a, set.b, set.c, set.d, set.e, set.f].map(rounded);
        let still = set == [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
        if owner.pixels > 0 || !still {
            let record = PartRecord {
                pixels: owner.pixels,
                area: owner.area,
                set: (!still).then_some(set),
            };
            out.insert(owner.name, record);
        }
    }
    out
}
