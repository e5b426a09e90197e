//! One pose's new picture against its approved one.

use std::collections::BTreeMap;

use super::drawn::Drawn;
use super::files::Files;
use super::model::ViewRecord;
use super::round::{CompareStyle, ComparedPose, blank, tolerance};
use crate::build::make::pictures::encoded;
use crate::build::plan::{Job, Plan};
use crate::build::run::Failure;
use crate::compare::ApprovedSet;
use crate::compare::{
    self, ApprovedPose, CauseKind, ChangedRegion, Digest, ENGINE, Edit, Found, Ground, Picture,
    Pixel, PixelComparison, PoseComparison, Reach, SetState, Shot, State,
};
use crate::draw::{Effort, grey_png, png};

/// Regions that are listed and framed; the rest is counted.
const MOST_REGIONS: usize = 24;

/// What comes of a pose whose new picture is known without drawing it, where that is the approved one
/// pixel for pixel; `None` where it is not, or the approved files are missing or damaged.
#[must_use]
pub fn known_identical(job: &Job<'_>, set: &ApprovedSet, pixels: &Digest) -> Option<ComparedPose> {
    let mut result = blank(&job.name, job.name.key());
    result.note.clone_from(&job.pose.note);
    let approved = set.manifest.poses.get(&result.key)?;
    if approved.pixels != *pixels || set.files(approved).is_err() {
        return None;
    }
    result.width = approved.width;
    result.height = approved.height;
    result.picture = Some(pixels.clone());
    result.approved = Some(pixels.clone());
    let refused = set.manifest.rejected.get(&result.key);
    result.rejected = refused
        .filter(|r| r.pixels == *pixels)
        .map(|r| r.note.clone());
    Some(ComparedPose {
        result,
        found: Vec::new(),
        cut_off: None,
    })
}

pub(super) fn compared(
    plan: &Plan,
    job: &Job<'_>,
    model: &ViewRecord<'_>,
    mut drawn: Drawn,
    style: &CompareStyle,
) -> Result<ComparedPose, Failure> {
    let mut result = blank(&job.name, job.name.key());
    result.note.clone_from(&job.pose.note);
    let seen = &drawn.seen.clone();
    result.width = seen.width;
    result.height = seen.height;
    result.picture = Some(seen.pixels.clone());
    let manifest = &model.set.manifest;
    let refused = manifest.rejected.get(&result.key);
    result.rejected = refused
        .filter(|r| r.pixels == seen.pixels)
        .map(|r| r.note.clone());
    let mut out = Files::new(plan, job, style);
    let mut found = Vec::new();
    let approved = manifest.poses.get(&result.key);
    result.approved = approved.map(|a| a.pixels.clone());
    let files = approved.map(|a| model.set.files(a));
    match (approved, files) {
        (Some(approved), Some(Ok(_))) if approved.pixels == seen.pixels => {}
        (Some(approved), Some(Ok((picture, owners)))) => {
            match ApprovedSet::decoded(approved, (&picture, &owners)) {
                Ok((before, before_owners)) => {
                    let mut then = Then {
                        pose: approved.clone(),
                        picture: before,
                        owners: before_owners,
                        file: picture,
                        grew_otherwise: None,
                    };
                    if let Some(ground) = ground(&then.pose, &drawn.seen, model) {
                        then.grew_otherwise = if ground == Ground::of(&drawn.seen) {
                            Some("the picture grew with the figure, the approved one did not")
                        } else if ground == Ground::of(&then.pose) {
                            Some("the approved picture grew with the figure, this one did not")
                        } else {
                            None
                        };
                        then = then.on(ground)?;
                        drawn = drawn.on(ground)?;
                        (result.width, result.height) = (ground.width, ground.height);
                    }
                    found = differing(plan, job, model, &then, &drawn, &mut result, &mut out)?;
                    let map = renumbered(&then.owners, &then.pose, model);
                    let grey = grey_png(then.pose.width, then.pose.height, &map);
                    out.before = Some(then.file);
                    out.before_owners = Some(encoded(grey)?);
                }
                Err(why) => {
                    result.state = State::NotYetApproved;
                    result.reason = Some(why);
                }
            }
        }
        (Some(_), Some(Err(why))) => {
            result.state = State::NotYetApproved;
            result.reason = Some(why);
        }
        _ => {
            result.state = match model.set.state {
                SetState::Present => State::New,
                SetState::Absent | SetState::Damaged => State::NotYetApproved,
            };
        }
    }
    if result.state != State::Identical && style.out.is_some() {
        out.after = Some(encoded(png(drawn.pixmap.as_ref(), false, Effort::Quick))?);
        let names = model.rig.parts.keys();
        let table: Vec<u16> = names
            .map(|n| model.numbers.get(n).copied().unwrap_or(0))
            .collect();
        let map = through(&drawn.owners.owners, &table);
        let grey = grey_png(drawn.owners.width, drawn.owners.height, &map);
        out.after_owners = Some(encoded(grey)?);
        result.files = out.write()?;
    }
    Ok(ComparedPose {
        result,
        found,
        cut_off: drawn.cut_off,
    })
}

/// An approved picture with all that is known of it.
struct Then {
    pose: ApprovedPose,
    picture: Picture,
    owners: Vec<u16>,
    /// As a PNG.
    file: Vec<u8>,
    /// Where one of the two pictures holds the other: what that tells when no edit tells why.
    grew_otherwise: Option<&'static str>,
}

impl Then {
    /// The same on a larger ground.
    fn on(self, ground: Ground) -> Result<Self, Failure> {
        let own = Ground::of(&self.pose);
        let picture = ground.picture(&self.picture, own);
        Ok(Self {
            pose: ground.pose(&self.pose),
            file: if ground == own {
                self.file
            } else {
                picture.png().map_err(Failure::Draw)?
            },
            picture,
            owners: ground.lay(&self.owners, own, 1),
            grew_otherwise: self.grew_otherwise,
        })
    }
}

/// The ground of two pictures of one canvas and scale; `None` where they have it already, or where
/// canvas or scale are not the same.
fn ground(then: &ApprovedPose, now: &ApprovedPose, model: &ViewRecord<'_>) -> Option<Ground> {
    let (a, b) = (Ground::of(then), Ground::of(now));
    let rig = model.set.manifest.rigs.get(&then.rig)?;
    let alike = rig.canvas == model.rig.canvas && then.scale == now.scale;
    (alike && a != b).then(|| a.with(b))
}

/// Owner numbers as the comparison's folder counts them.
fn renumbered(owners: &[u16], approved: &ApprovedPose, model: &ViewRecord<'_>) -> Vec<u16> {
    let rig = model.set.manifest.rigs.get(&approved.rig);
    let names = rig.into_iter().flat_map(|r| r.parts.keys());
    let table: Vec<u16> = names
        .map(|n| model.numbers.get(n).copied().unwrap_or(0))
        .collect();
    through(owners, &table)
}

pub(super) fn through(owners: &[u16], table: &[u16]) -> Vec<u16> {
    let one = |&n: &u16| {
        let at = usize::from(n).checked_sub(1);
        at.and_then(|at| table.get(at)).copied().unwrap_or(0)
    };
    owners.iter().map(one).collect()
}

/// Fills in what is different; gives the edits that made it so.
fn differing(
    plan: &Plan,
    job: &Job<'_>,
    model: &ViewRecord<'_>,
    then: &Then,
    drawn: &Drawn,
    result: &mut PoseComparison,
    out: &mut Files,
) -> Result<Vec<Found>, Failure> {
    let (approved, before, after) = (&then.pose, &then.picture, &drawn.picture);
    result.state = State::Differs;
    let mut edits: Vec<Edit> = model.edits.get(&approved.rig).cloned().unwrap_or_default();
    let whole = |subject: &str, kind: CauseKind, text: String| Edit {
        subject: subject.to_owned(),
        kind,
        text,
        view: None,
        reach: Reach::All,
    };
    if (before.width, before.height) != (after.width, after.height)
        || approved.scale != drawn.seen.scale
    {
        result.reason = Some(format!(
            "the picture is {} x {} px, the approved one {} x {}",
            after.width, after.height, before.width, before.height
        ));
        if approved.scale != drawn.seen.scale {
            let text = format!("{} to {}", approved.scale, drawn.seen.scale);
            edits.push(whole("scale of the pictures", CauseKind::Picture, text));
        }
        let all = edits.into_iter().filter(|e| e.reach == Reach::All);
        let pixels = u64::from(after.width) * u64::from(after.height);
        let found = all.map(|edit| Found {
            edit,
            parts: Vec::new(),
            pixels,
            share: 1.0,
        });
        return Ok(found.collect());
    }
    let tolerance = tolerance(&plan.models[job.model].member, job.pose.compare);
    let pixels = compare::compare(before, after, &tolerance)
        .map_err(|error| Failure::Fault(error.to_string()))?;
    if pixels.figures.changed <= tolerance.pixels {
        result.state = State::Within;
    }
    let Some(rig) = model.set.manifest.rigs.get(&approved.rig) else {
        return Err(Failure::Fault(
            "a manifest was read without its rigs".into(),
        ));
    };
    let before = Shot {
        rig,
        pose: approved,
        owners: &then.owners,
    };
    let after = Shot {
        rig: &model.rig,
        pose: &drawn.seen,
        owners: &drawn.owners.owners,
    };
    let list = &plan.sections[job.section].list.key;
    edits.extend(compare::pose_edits(
        &approved.pose,
        &drawn.seen.pose,
        list,
        &job.pose.name,
    ));
    let name = &job.pose.name;
    edits.extend(compare::limb_edits(&before, &after, list, name));
    let mut found = compare::found(&edits, &before, &after, &pixels.pixels);
    let regrown = then.grew_otherwise;
    if let (Some(text), true) = (regrown, found.is_empty() && pixels.figures.changed > 0) {
        let edit = whole("canvas", CauseKind::Picture, text.to_owned());
        found = compare::found(&[edit], &before, &after, &pixels.pixels);
    } else if approved.engine != ENGINE {
        let text = format!("the program changed, {} to {ENGINE}", approved.engine);
        let edit = whole("layfig", CauseKind::Engine, text);
        let left = compare::unexplained(edit, &found, &before, &after, &pixels.pixels);
        found.extend(left);
    } else if found.is_empty() && pixels.figures.changed > 0 {
        result.reason = Some("no recorded edit explains it".to_owned());
    }
    result.parts = compare::by_part(&before, &after, &pixels.pixels);
    // Of two that changed order or cover each other, the one that somebody edited comes first.
    let edited = |part: &str| found.iter().any(|f| f.parts.iter().any(|p| p == part));
    let key = |p: &compare::PartChange| (!compare::is_own(p), !edited(&p.part));
    result.parts.sort_by_key(key);
    regions(&pixels, &before, &after, result);
    result.figures = Some(pixels.figures);
    if out.wanted() {
        out.difference = Some(difference(&drawn.picture, &pixels)?);
    }
    Ok(found)
}

fn regions(
    pixels: &PixelComparison,
    before: &Shot<'_>,
    after: &Shot<'_>,
    result: &mut PoseComparison,
) {
    let width = result.width as usize;
    let shown = pixels.regions.iter().take(MOST_REGIONS);
    result.more_regions = pixels.regions.len().saturating_sub(MOST_REGIONS);
    result.regions = shown
        .map(|&(area, count)| {
            let mut owners: BTreeMap<&str, u64> = BTreeMap::new();
            for y in area[1]..area[3] {
                for x in area[0]..area[2] {
                    let at = y as usize * width + x as usize;
                    if pixels.pixels[at] == Pixel::Changed {
                        for owner in [before.owner(at), after.owner(at)].into_iter().flatten() {
                            *owners.entry(owner).or_default() += 1;
                        }
                    }
                }
            }
            let mut owners: Vec<(&str, u64)> = owners.into_iter().collect();
            owners.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
            ChangedRegion {
                area,
                pixels: count,
                parts: owners
                    .into_iter()
                    .take(3)
                    .map(|(n, _)| n.to_owned())
                    .collect(),
            }
        })
        .collect();
}

fn difference(after: &Picture, pixels: &PixelComparison) -> Result<Vec<u8>, Failure> {
    let picture = compare::difference(after, pixels, MOST_REGIONS);
    let size = tiny_skia::IntSize::from_wh(picture.width, picture.height);
    let pixmap = size.and_then(|size| tiny_skia::Pixmap::from_vec(picture.rgba, size));
    let pixmap = pixmap.ok_or_else(|| Failure::Fault("a picture without pixels".into()))?;
    encoded(png(pixmap.as_ref(), true, Effort::Quick))
}
