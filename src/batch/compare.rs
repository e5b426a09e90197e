//! New pictures of a plan against the members' approved sets, and into them.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

use super::approved::{ApprovedSet, OpenSet};
use super::encode::{Effort, grey_png, png, straight};
use super::files::file_name;
use super::pictures::{Framing, encoded, save, solved};
use super::plan::{Job, Plan};
use super::run::{Event, Failure, run};
use crate::cast::{CompareSettings, Member};
use crate::compare::{
    self, ApprovedPose, CauseKind, ChangedRegion, Comparison, Counts, Digest, ENGINE, Edit, FORMAT,
    Found, PartRecord, Picture, Pixel, PixelComparison, PoseComparison, PoseFiles, PoseRecord,
    Reach, RigRecord, SetState, Shot, State, Tolerance, slashed,
};
use crate::diag::Sources;
use crate::draw::{self, OwnerMap, Scratch};
use crate::geom::Affine;
use crate::solve::{Figure, Puppet};

/// Regions that are listed and framed; the rest is counted.
const MOST_REGIONS: usize = 24;

/// How poses are compared.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareStyle {
    /// Pixels to the canvas unit; else what the rig says, else 1.
    pub scale: Option<f64>,
    /// Where before, after and difference go, in `<member>/compare/`; nowhere if `None`.
    pub out: Option<PathBuf>,
}

/// What is drawn, and how.
#[derive(Clone, Copy, Debug)]
pub struct Round<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// One for each of its models.
    pub puppets: &'a [Puppet],
    /// Those of its jobs that can be drawn.
    pub jobs: &'a [Job<'a>],
    /// The files that it was read from.
    pub sources: &'a Sources,
    /// How poses are compared.
    pub style: &'a CompareStyle,
    /// Threads to use.
    pub threads: usize,
}

/// What came of one pose.
#[derive(Clone, Debug)]
pub struct ComparedPose {
    /// All but its causes.
    pub result: PoseComparison,
    /// The edits that changed it.
    pub found: Vec<Found>,
    /// What an approved set would keep of the new picture, but for the names of its files.
    pub seen: ApprovedPose,
}

/// The scale that a member's pictures are compared at.
fn scale_of(member: &Member, style: &CompareStyle) -> f64 {
    style.scale.or(member.compare.scale).unwrap_or(1.0)
}

/// The framing of every model of a plan, to check its size before anything is drawn.
pub fn framings<'a>(
    plan: &'a Plan,
    style: &'a CompareStyle,
) -> impl Iterator<Item = crate::draw::Viewport> + 'a {
    let models = plan.models.iter();
    models.map(|m| Framing::Scale(scale_of(&m.member, style)).viewport(m.member.canvas))
}

/// The thresholds of a pose: its own before its rig's before the defaults.
fn tolerance(member: &Member, pose: CompareSettings) -> Tolerance {
    let of = |get: fn(&CompareSettings) -> Option<f64>| get(&pose).or(get(&member.compare));
    let plain = Tolerance::default();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "read as a whole number from 0 to 1e9"
    )]
    Tolerance {
        colour: of(|s| s.colour).unwrap_or(plain.colour),
        edge: of(|s| s.edge).unwrap_or(plain.edge),
        pixels: of(|s| s.pixels).map_or(plain.pixels, |p| p as u64),
    }
}

/// The key of a job in its member's manifest: its name without the member.
#[must_use]
pub fn manifest_key(job: &Job<'_>, plan: &Plan) -> String {
    let member = &plan.models[job.model].member.key;
    let rest = job.name.strip_prefix(member.as_str());
    rest.and_then(|r| r.strip_prefix('/'))
        .unwrap_or(&job.name)
        .to_owned()
}

/// What all poses of a model share.
struct Model<'a> {
    set: &'a ApprovedSet,
    rig: RigRecord,
    digest: Digest,
    /// From each approved rig of this view.
    edits: BTreeMap<&'a Digest, Vec<Edit>>,
    /// Numbers of owners by part, for the whole member.
    numbers: BTreeMap<String, u16>,
    /// Digests of the rig's files.
    inputs: BTreeMap<String, Digest>,
}

/// Names of all parts of a member, then and now: what owner maps in a comparison's folder count by.
fn part_names(member: &Member, set: &ApprovedSet) -> Vec<String> {
    let mut names = member.names.clone();
    for rig in set.manifest.rigs.values() {
        for name in rig.parts.keys() {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    names
}

fn models<'a>(
    plan: &Plan,
    sets: &'a BTreeMap<String, ApprovedSet>,
    sources: &Sources,
) -> Vec<Option<Model<'a>>> {
    let one = |model: &super::Model| {
        let set = sets.get(&model.member.key)?;
        let rig = RigRecord::of(&model.member, model.view, &model.library);
        let edits = set.manifest.rigs.iter();
        let edits = edits
            .filter(|(_, then)| then.view == rig.view)
            .map(|(digest, then)| (digest, compare::edits(then, &rig)));
        let names = part_names(&model.member, set);
        let numbers = names
            .into_iter()
            .zip(1..=u16::MAX)
            .collect::<BTreeMap<String, u16>>();
        let folder = &model.member.folder;
        let inputs = sources.iter().filter_map(|source| {
            let name = source.path.strip_prefix(folder).ok()?;
            Some((slashed(name), Digest::of(source.text.as_bytes())))
        });
        Some(Model {
            set,
            digest: rig.digest(),
            edits: edits.collect(),
            inputs: inputs.collect(),
            numbers,
            rig,
        })
    };
    plan.models.iter().map(one).collect()
}

/// The way from a folder to a file, with `..` where need be; the file's name if there is none.
fn relative(folder: &Path, file: &Path) -> String {
    let name = || file.file_name().unwrap_or_default().to_string_lossy();
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let (Ok(from), Ok(to)) = (folder.canonicalize(), file.canonicalize()) else {
        return name().into_owned();
    };
    let from: Vec<Component<'_>> = from.components().collect();
    let to: Vec<Component<'_>> = to.components().collect();
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let mut steps = vec!["..".to_owned(); from.len() - shared];
    steps.extend(
        to[shared..]
            .iter()
            .map(|c| c.as_os_str().to_string_lossy().into_owned()),
    );
    steps.join("/")
}

/// Draws every job and compares it with the approved set of its member, found by the member's key.
/// The result has an entry for each job, in order.
pub fn compare_poses(
    round: &Round<'_>,
    sets: &BTreeMap<String, ApprovedSet>,
    watch: impl FnMut(Event),
) -> Vec<Result<ComparedPose, Failure>> {
    let &Round {
        plan,
        jobs,
        sources,
        style,
        threads,
        ..
    } = round;
    let models = models(plan, sets, sources);
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        let model = models[job.model].as_ref().ok_or_else(|| {
            Failure::Fault("there is no approved set to compare with, not even an empty one".into())
        })?;
        let drawn = Drawn::new(round, job, model, scratch)?;
        one(plan, job, model, drawn, style)
    };
    run(jobs, threads, work, watch)
}

/// A pose's new picture.
struct Drawn {
    picture: Picture,
    pixmap: tiny_skia::Pixmap,
    owners: OwnerMap,
    seen: ApprovedPose,
}

impl Drawn {
    fn new(
        round: &Round<'_>,
        job: &Job<'_>,
        model: &Model<'_>,
        scratch: &mut Scratch,
    ) -> Result<Self, Failure> {
        let &Round {
            plan,
            puppets,
            sources,
            style,
            ..
        } = round;
        let member = &plan.models[job.model].member;
        let figure = solved(puppets, job)?;
        let scale = scale_of(member, style);
        let viewport = Framing::Scale(scale).viewport(member.canvas);
        let frame = draw::draw(&figure, &viewport, None, true, scratch)?;
        let Some(owners) = frame.owners else {
            return Err(Failure::Fault("the owner map was not made".into()));
        };
        let picture = Picture {
            width: viewport.width,
            height: viewport.height,
            rgba: straight(frame.pixels.as_ref()),
        };
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
            pixels: Digest::of_pixels(viewport.width, viewport.height, &picture.rgba),
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
    let counted = super::owners::PartMap::new(owners, &names);
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

fn blank(plan: &Plan, job: &Job<'_>) -> PoseComparison {
    let section = &plan.sections[job.section];
    let model = &plan.models[job.model];
    PoseComparison {
        pose: job.name.clone(),
        key: manifest_key(job, plan),
        view: model.view_name().map(str::to_owned),
        list: section.list.key.clone(),
        name: job.pose.name.clone(),
        note: job.pose.note.clone(),
        state: State::Identical,
        reason: None,
        rejected: None,
        approved: None,
        picture: None,
        width: 0,
        height: 0,
        figures: None,
        regions: Vec::new(),
        more_regions: 0,
        parts: Vec::new(),
        causes: Vec::new(),
        files: PoseFiles::default(),
    }
}

fn one(
    plan: &Plan,
    job: &Job<'_>,
    model: &Model<'_>,
    drawn: Drawn,
    style: &CompareStyle,
) -> Result<ComparedPose, Failure> {
    let mut result = blank(plan, job);
    let seen = &drawn.seen;
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
                    found = differing(
                        plan,
                        job,
                        model,
                        (approved, &before, &before_owners),
                        &drawn,
                        &mut result,
                        &mut out,
                    )?;
                    out.before = Some(picture);
                    let map = renumbered(&before_owners, approved, model);
                    let grey = grey_png(approved.width, approved.height, &map);
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
        seen: drawn.seen,
    })
}

/// Owner numbers as the comparison's folder counts them.
fn renumbered(owners: &[u16], approved: &ApprovedPose, model: &Model<'_>) -> Vec<u16> {
    let rig = model.set.manifest.rigs.get(&approved.rig);
    let names = rig.into_iter().flat_map(|r| r.parts.keys());
    let table: Vec<u16> = names
        .map(|n| model.numbers.get(n).copied().unwrap_or(0))
        .collect();
    through(owners, &table)
}

fn through(owners: &[u16], table: &[u16]) -> Vec<u16> {
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
    model: &Model<'_>,
    (approved, before, before_owners): (&ApprovedPose, &Picture, &[u16]),
    drawn: &Drawn,
    result: &mut PoseComparison,
    out: &mut Files,
) -> Result<Vec<Found>, Failure> {
    let after = &drawn.picture;
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
    let pixels = compare::compare(before, after, &tolerance);
    if pixels.figures.changed <= tolerance.pixels {
        result.state = State::Within;
    }
    let Some(then) = model.set.manifest.rigs.get(&approved.rig) else {
        return Err(Failure::Fault(
            "a manifest was read without its rigs".into(),
        ));
    };
    let before = Shot {
        rig: then,
        pose: approved,
        owners: before_owners,
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
    let mut found = compare::found(&edits, &before, &after, &pixels.pixels);
    if found.is_empty() && pixels.figures.changed > 0 {
        if approved.engine == ENGINE {
            result.reason = Some("no recorded edit explains it".to_owned());
        } else {
            let text = format!("version {} to {ENGINE}", approved.engine);
            let edit = whole("layfig", CauseKind::Engine, text);
            found = compare::found(&[edit], &before, &after, &pixels.pixels);
        }
    }
    result.parts = compare::by_part(&before, &after, &pixels.pixels);
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

/// The files of one pose in a comparison's folder.
struct Files {
    folder: Option<PathBuf>,
    stem: String,
    before: Option<Vec<u8>>,
    after: Option<Vec<u8>>,
    difference: Option<Vec<u8>>,
    before_owners: Option<Vec<u8>>,
    after_owners: Option<Vec<u8>>,
}

impl Files {
    fn new(plan: &Plan, job: &Job<'_>, style: &CompareStyle) -> Self {
        let member = &plan.models[job.model].member.key;
        let whole = job.file(plan, Path::new(""), "");
        let own = whole.strip_prefix(file_name(member)).unwrap_or(&whole);
        Self {
            folder: style.out.as_ref().map(|out| comparison_folder(out, member)),
            stem: slashed(own),
            before: None,
            after: None,
            difference: None,
            before_owners: None,
            after_owners: None,
        }
    }

    const fn wanted(&self) -> bool {
        self.folder.is_some()
    }

    fn write(self) -> Result<PoseFiles, Failure> {
        let Some(folder) = self.folder else {
            return Ok(PoseFiles::default());
        };
        let stem = self.stem;
        let one = |bytes: Option<Vec<u8>>, ending: &str| -> Result<Option<String>, Failure> {
            let Some(bytes) = bytes else {
                return Ok(None);
            };
            let name = format!("{stem}.{ending}.png");
            save(&folder.join(&name), &bytes)?;
            Ok(Some(name))
        };
        Ok(PoseFiles {
            before: one(self.before, "before")?,
            after: one(self.after, "after")?,
            difference: one(self.difference, "difference")?,
            before_owners: one(self.before_owners, "before.owners")?,
            after_owners: one(self.after_owners, "after.owners")?,
        })
    }
}

/// Where a member's comparison goes under `out`.
#[must_use]
pub fn comparison_folder(out: &Path, member: &str) -> PathBuf {
    out.join(file_name(member)).join("compare")
}

/// Poses that this run was to draw and did not, by printed name, and why.
pub type NotDrawn = [(String, String)];

/// Gathers one member's poses into a comparison. `whole` says that nothing was filtered out, so that
/// an approved pose that is not there any more is a removed one.
#[must_use]
pub fn gather(
    plan: &Plan,
    member: &Member,
    set: &ApprovedSet,
    compared: Vec<ComparedPose>,
    not_drawn: &NotDrawn,
    whole: bool,
    sources: &Sources,
) -> Comparison {
    let mut poses: Vec<PoseComparison> = Vec::new();
    let mut found: Vec<Vec<Found>> = Vec::new();
    for one in compared {
        poses.push(one.result);
        found.push(one.found);
    }
    let present: Vec<String> = poses.iter().map(|p| p.key.clone()).collect();
    for (key, approved) in &set.manifest.poses {
        if present.contains(key) {
            continue;
        }
        let printed = format!("{}/{key}", member.key);
        let why = not_drawn.iter().find(|(name, _)| *name == printed);
        let state = match why {
            Some(_) => State::Missing,
            None if whole && is_gone(plan, member, key) => State::Removed,
            None => continue,
        };
        let mut steps = key.rsplitn(3, '/');
        let (name, list) = (
            steps.next().unwrap_or(key),
            steps.next().unwrap_or_default(),
        );
        poses.push(PoseComparison {
            pose: printed,
            key: key.clone(),
            view: steps.next().map(str::to_owned),
            list: list.to_owned(),
            name: name.to_owned(),
            note: None,
            state,
            reason: why.map(|(_, why)| why.clone()),
            rejected: None,
            approved: Some(approved.pixels.clone()),
            picture: None,
            width: approved.width,
            height: approved.height,
            figures: None,
            regions: Vec::new(),
            more_regions: 0,
            parts: Vec::new(),
            causes: Vec::new(),
            files: PoseFiles::default(),
        });
        found.push(Vec::new());
    }
    // Edits that show in no picture are told too.
    let unseen = unseen(plan, member, set, sources);
    // What is within the thresholds is nobody's cause.
    let of_pose = |at: usize| {
        if poses[at].state == State::Differs {
            found[at].as_slice()
        } else {
            &[]
        }
    };
    let pairs: Vec<(&str, &[Found])> = poses
        .iter()
        .enumerate()
        .map(|(at, pose)| (pose.pose.as_str(), of_pose(at)))
        .collect();
    let (causes, of_poses) = compare::ranked(pairs, &unseen);
    for (pose, causes) in poses.iter_mut().zip(of_poses) {
        pose.causes = causes;
    }
    Comparison {
        format: FORMAT,
        engine: ENGINE.to_owned(),
        member: member.key.clone(),
        name: member.name.clone(),
        approved: slashed(&set.folder),
        set: set.state,
        remarks: set.remarks.clone(),
        counts: Counts::of(poses.iter().map(|p| p.state)),
        causes,
        poses,
        orphans: set.orphans(),
        part_names: part_names(member, set),
    }
}

fn unseen(plan: &Plan, member: &Member, set: &ApprovedSet, sources: &Sources) -> Vec<Edit> {
    let sets = BTreeMap::from([(member.key.clone(), set.clone())]);
    let mut out: Vec<Edit> = Vec::new();
    for model in models(plan, &sets, sources).into_iter().flatten() {
        for edit in model.edits.into_values().flatten() {
            if !out.iter().any(|other| other.subject == edit.subject) {
                out.push(edit);
            }
        }
    }
    out
}

/// True when an approved pose is in none of the lists that were read, all views and lists of the
/// member considered.
fn is_gone(plan: &Plan, member: &Member, key: &str) -> bool {
    let sections = plan
        .sections
        .iter()
        .filter(|s| plan.models[s.model].member.key == member.key);
    let mut known_view = false;
    for section in sections {
        let own = section.name.strip_prefix(member.key.as_str());
        let Some(own) = own.and_then(|n| n.strip_prefix('/')) else {
            continue;
        };
        let view = own.strip_suffix(&section.list.key).unwrap_or_default();
        known_view |=
            key.starts_with(view) && view.matches('/').count() + 1 == key.matches('/').count();
        if let Some(name) = key.strip_prefix(own).and_then(|r| r.strip_prefix('/')) {
            let steps = section.list.sweeps.iter().flat_map(|s| &s.poses);
            let mut all = section.list.poses.iter().chain(steps).map(|p| &p.name);
            // A list with mistakes may hold the pose.
            return section.list.left_out.is_empty() && !all.any(|n| n == name);
        }
    }
    // The list is gone, of a view that is drawn; or the view itself is gone.
    let view_exists = member.views.iter().any(|v| match &v.name {
        Some(name) => key
            .strip_prefix(name.as_str())
            .is_some_and(|r| r.starts_with('/')),
        None => key.matches('/').count() == 1,
    });
    known_view || !view_exists
}

/// Writes `comparison.json`, after the pictures that it names; pictures that only an earlier
/// comparison named are removed. Gives the file.
///
/// # Errors
///
/// When it cannot be written.
pub fn write_comparison(comparison: &Comparison, out: &Path) -> Result<PathBuf, Failure> {
    let folder = comparison_folder(out, &comparison.member);
    let path = folder.join("comparison.json");
    let named = |c: &Comparison| -> Vec<String> {
        let files = c.poses.iter().flat_map(|p| {
            let f = p.files.clone();
            [
                f.before,
                f.after,
                f.difference,
                f.before_owners,
                f.after_owners,
            ]
        });
        files.flatten().collect()
    };
    let earlier = std::fs::read_to_string(&path).ok();
    let earlier = earlier.and_then(|text| serde_json::from_str::<Comparison>(&text).ok());
    save(&path, comparison.text().as_bytes())?;
    let now = named(comparison);
    for old in earlier.iter().flat_map(named) {
        let plain = Path::new(&old)
            .components()
            .all(|c| matches!(c, Component::Normal(_)));
        if plain && old.ends_with(".png") && !now.contains(&old) {
            // One that is gone already is as well.
            let _ = std::fs::remove_file(folder.join(&old));
        }
    }
    Ok(path)
}

/// Draws jobs of one member and keeps their pictures in the open set. The result has an entry for
/// each job: the key and what the manifest is to say, with the rig that it was made from.
pub fn promote(
    round: &Round<'_>,
    (set, known): (&OpenSet, &ApprovedSet),
    watch: impl FnMut(Event),
) -> Vec<Result<(String, ApprovedPose, RigRecord), Failure>> {
    let &Round {
        plan,
        jobs,
        sources,
        threads,
        ..
    } = round;
    let sets = plan.models.iter();
    let sets = sets
        .map(|m| (m.member.key.clone(), known.clone()))
        .collect();
    let models = models(plan, &sets, sources);
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        let Some(model) = models[job.model].as_ref() else {
            return Err(Failure::Fault("there is no set to approve for".into()));
        };
        let drawn = Drawn::new(round, job, model, scratch)?;
        let mut seen = drawn.seen;
        let key = manifest_key(job, plan);
        // The same pixels keep the file that holds them, whatever the encoder would write today.
        let same = known
            .manifest
            .poses
            .get(&key)
            .filter(|old| old.pixels == seen.pixels && known.files(old).is_ok());
        let failed = |(path, e): (PathBuf, std::io::Error)| Failure::Write {
            path,
            why: e.to_string(),
        };
        seen.picture = match same {
            Some(old) => old.picture.clone(),
            None => {
                let bytes = encoded(png(drawn.pixmap.as_ref(), false, Effort::Small))?;
                set.keep("pictures", &bytes).map_err(failed)?
            }
        };
        let grey = grey_png(
            drawn.owners.width,
            drawn.owners.height,
            &drawn.owners.owners,
        );
        seen.owners = set.keep("owners", &encoded(grey)?).map_err(failed)?;
        Ok((key, seen, model.rig.clone()))
    };
    run(jobs, threads, work, watch)
}
