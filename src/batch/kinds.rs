//! Sheets of a member, or of the cast, that no pose list asks for: model, turnaround, expressions,
//! charts, line-up, colours.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::file_name;
use super::plan::{Choice, Model, Plan, Purpose, Section, Subject, chosen_views};
use super::sheets::{PlannedSheet, Rehearsal, page_names};
use crate::cast::{Chart, Crop, Member, PartId, Pose, PoseList, Said};
use crate::diag::{Place, Problem, SourceId, Span};
use crate::sheet::{
    Cell, ColourSheet, Coloured, Document, Group, Guide, Heading, LineUp, Look, ModelSheet, Sheet,
    Shown, Standing, Swatch, TooSmall, Turnaround, TurnedView, colour_sheet, lay_out, line_up,
    model_sheet, spoken, turnaround,
};
use crate::solve::{Figure, Puppet};

/// A kind of sheet that no pose list asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MemberKind {
    /// A view at rest, measured.
    Model,
    /// All views on one ground.
    Turnaround,
    /// Poses that change no more than the head, cropped to it.
    Expressions,
    /// Every replacement of a part, in its place.
    Charts,
    /// All members on one ground.
    LineUp,
    /// One pose in every palette.
    Colours,
}

impl MemberKind {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Model,
        Self::Turnaround,
        Self::Expressions,
        Self::Charts,
        Self::LineUp,
        Self::Colours,
    ];

    /// What files and labels call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Model => "model",
            Self::Turnaround => "turnaround",
            Self::Expressions => "expressions",
            Self::Charts => "charts",
            Self::LineUp => "line-up",
            Self::Colours => "colours",
        }
    }
}

/// The crop that expressions are shown in, where a view has it.
const HEAD: &str = "head";

/// A sheet laid out.
struct Made {
    document: Document,
    /// `member/kind`, `member/view/kind`, or the kind.
    name: String,
    /// Where its files lie, and what they are called before the ending.
    folder: PathBuf,
    stem: String,
    /// Whose sheets these are.
    title: String,
    /// What a person must look at: landmarks that drift.
    findings: Vec<Problem>,
}

/// Adds to a plan the poses that sheets of these kinds show. Expressions are the plan's own poses;
/// unless `lists` is true, the plan's lists are taken out.
pub fn add_kinds(
    plan: &mut Plan,
    subjects: &[Subject],
    kinds: &[MemberKind],
    lists: bool,
    choice: &Choice,
) {
    let chosen = |member: &Member| chosen_views(member, &choice.views);
    let listed = plan.sections.clone();
    for &kind in kinds {
        for subject in subjects {
            let member = &subject.member;
            let all = || (0..member.views.len()).collect::<Vec<_>>();
            let views = match kind {
                MemberKind::Turnaround if member.views.len() < 2 => continue,
                MemberKind::Turnaround => all(),
                MemberKind::LineUp | MemberKind::Colours => {
                    chosen(member).into_iter().take(1).collect()
                }
                MemberKind::Model | MemberKind::Expressions | MemberKind::Charts => chosen(member),
            };
            for view in views {
                let model = model_of(plan, subject, view);
                let poses = match kind {
                    MemberKind::Expressions => expressions(plan, &listed, model),
                    MemberKind::Charts => charted(&plan.models[model]),
                    MemberKind::Colours => palettes(member),
                    _ => vec![rest("rest")],
                };
                if !poses.is_empty() {
                    let section = section(plan, model, kind, poses);
                    plan.sections.push(section);
                }
            }
        }
    }
    if !lists {
        plan.sections
            .retain(|section| section.purpose != Purpose::List);
        plan.left_out.clear();
    }
}

fn model_of(plan: &mut Plan, subject: &Subject, view: usize) -> usize {
    let same = |m: &Model| m.view == view && Arc::ptr_eq(&m.member, &subject.member);
    if let Some(at) = plan.models.iter().position(same) {
        return at;
    }
    plan.models.push(Model {
        member: Arc::clone(&subject.member),
        library: Arc::clone(&subject.library),
        view,
    });
    plan.models.len() - 1
}

fn section(plan: &Plan, model: usize, kind: MemberKind, poses: Vec<Pose>) -> Section {
    let of = &plan.models[model];
    let mut folder = PathBuf::from(file_name(&of.member.key));
    let mut name = of.member.key.clone();
    if let Some(view) = of.view_name() {
        folder.push(file_name(view));
        name = format!("{name}/{view}");
    }
    folder.push(kind.name());
    Section {
        model,
        poses: (0..poses.len()).collect(),
        sweeps: Vec::new(),
        name: format!("{name}/{}", kind.name()),
        folder,
        list: Arc::new(PoseList {
            key: kind.name().into(),
            path: PathBuf::new(),
            poses,
            sweeps: Vec::new(),
            left_out: Vec::new(),
        }),
        purpose: Purpose::Sheet(kind),
    }
}

/// The place of what no file says.
const NOWHERE: Span = Span {
    source: SourceId(0),
    start: 0,
    end: 0,
};

/// The rig as it is drawn.
fn rest(name: &str) -> Pose {
    Pose {
        name: name.into(),
        span: NOWHERE,
        note: None,
        turn: Vec::new(),
        shift: Vec::new(),
        scale: Vec::new(),
        skew: Vec::new(),
        depth: Vec::new(),
        sides: Vec::new(),
        replace: Vec::new(),
        palette: 0,
        mirror: false,
        compare: crate::cast::CompareSettings::default(),
    }
}

fn palettes(member: &Member) -> Vec<Pose> {
    let count = member.palettes.len();
    (0..count)
        .map(|palette| Pose {
            palette,
            ..rest(&member.palettes[palette].name)
        })
        .collect()
}

/// The charts of a view: those that it declares, else one of all parts with replacements.
fn charts(model: &Model) -> Vec<Chart> {
    let view = model.view();
    if !view.guides.charts.is_empty() {
        return view.guides.charts.clone();
    }
    let parts: Vec<PartId> = (0..view.parts.len())
        .filter(|&at| !view.parts[at].replacements.is_empty())
        .map(|at| PartId(u32::try_from(at).unwrap_or(u32::MAX)))
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    vec![Chart {
        name: "replacements".into(),
        span: NOWHERE,
        parts,
        crop: None,
    }]
}

/// What a chart shows of a part: its own drawing, then its replacements.
fn drawings(model: &Model, part: PartId) -> Vec<String> {
    let part = &model.view().parts[part.at()];
    let own = (part.art != crate::cast::Drawing::Empty).then(|| "art".to_owned());
    own.into_iter()
        .chain(part.replacements.keys().cloned())
        .collect()
}

fn charted(model: &Model) -> Vec<Pose> {
    let mut poses = Vec::new();
    for chart in charts(model) {
        for &part in &chart.parts {
            let name = model.view().parts[part.at()].name;
            for drawing in drawings(model, part) {
                let shown = format!("{}.{drawing}", model.member.names[name.at()]);
                let mut pose = rest(&shown);
                pose.replace.push(Said {
                    part: name,
                    value: drawing,
                    span: NOWHERE,
                });
                poses.push(pose);
            }
        }
    }
    poses
}

/// The crop for expressions: the one called `head`, else the view's only one.
fn head(model: &Model) -> Option<&Crop> {
    let crops = &model.view().guides.crops;
    let named = crops.iter().find(|crop| crop.name == HEAD);
    named.or(match &crops[..] {
        [only] => Some(only),
        _ => None,
    })
}

/// Poses of the plan's lists that change nothing but what the head's part carries.
fn expressions(plan: &Plan, lists: &[Section], model: usize) -> Vec<Pose> {
    let of = &plan.models[model];
    let Some(crop) = head(of) else {
        return Vec::new();
    };
    let view = of.view();
    let carried = |mut at: PartId| loop {
        if at == crop.part {
            break true;
        }
        match view.parts[at.at()].parent {
            Some(up) => at = up,
            None => break false,
        }
    };
    let on_head = |name: crate::cast::NameId| view.by_name[name.at()].is_none_or(&carried);
    let mut found: Vec<Pose> = Vec::new();
    for section in lists.iter().filter(|section| section.model == model) {
        for pose in section.poses() {
            let parts = (pose.turn.iter().map(|s| s.part))
                .chain(pose.shift.iter().map(|s| s.part))
                .chain(pose.scale.iter().map(|s| s.part))
                .chain(pose.skew.iter().map(|s| s.part))
                .chain(pose.replace.iter().map(|s| s.part))
                .chain(pose.sides.iter().map(|s| s.part));
            let plain = pose.palette == 0 && !pose.mirror;
            if plain && parts.into_iter().all(on_head) {
                found.push(pose.clone());
            }
        }
    }
    // A list of poses without a face in it has only its rest pose left.
    if found.len() < 2 { Vec::new() } else { found }
}

/// Everything that laying out needs.
struct Desk<'a> {
    plan: &'a Plan,
    puppets: &'a [Puppet],
    rehearsal: &'a Rehearsal,
    look: &'a Look,
    /// The jobs of each section.
    jobs: Vec<Range<usize>>,
}

/// Lays out the sheets that [`add_kinds`] prepared, and tells what a person must look at: landmarks
/// that drift. `cast` is what the line-up calls the show.
///
/// # Errors
///
/// When a page cannot hold a row of cells.
pub fn plan_kinds(
    plan: &Plan,
    puppets: &[Puppet],
    rehearsal: &Rehearsal,
    cast: &str,
    out: &Path,
    look: &Look,
) -> Result<(Vec<PlannedSheet>, Vec<Problem>), TooSmall> {
    let mut jobs = Vec::new();
    let mut next = 0;
    for section in &plan.sections {
        let count = section.all_poses().len();
        jobs.push(next..next + count);
        next += count;
    }
    let desk = Desk {
        plan,
        puppets,
        rehearsal,
        look,
        jobs,
    };
    let mut sheets = Vec::new();
    let mut turned: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut standing = Vec::new();
    for (at, section) in plan.sections.iter().enumerate() {
        let Purpose::Sheet(kind) = section.purpose else {
            continue;
        };
        match kind {
            MemberKind::Model => sheets.extend(desk.model(at)),
            MemberKind::Turnaround => {
                let key = &plan.models[section.model].member.key;
                turned.entry(key.clone()).or_default().push(at);
            }
            MemberKind::Expressions => sheets.extend(desk.expressions(at)?),
            MemberKind::Charts => sheets.extend(desk.charts(at)?),
            MemberKind::LineUp => standing.push(at),
            MemberKind::Colours => sheets.extend(desk.colours(at)),
        }
    }
    sheets.extend(
        turned
            .values()
            .filter_map(|sections| desk.turnaround(sections)),
    );
    sheets.extend(desk.line_up(&standing, cast));
    let mut findings = Vec::new();
    let planned = sheets.into_iter().map(|made| {
        findings.extend(made.findings);
        let files = page_names(&made.stem, "sheet", made.document.pages.len());
        let folder = out.join(&made.folder);
        PlannedSheet {
            pack: folder.join("sheets.pdf"),
            pack_title: made.title,
            files: files.into_iter().map(|file| folder.join(file)).collect(),
            document: made.document,
            name: made.name,
        }
    });
    let planned = planned.collect();
    Ok((planned, findings))
}

impl Desk<'_> {
    fn of(&self, section: usize) -> &Model {
        &self.plan.models[self.plan.sections[section].model]
    }

    /// The figure of a section's pose; `None` where it cannot be solved, which is told elsewhere.
    fn solved(&self, section: usize, pose: usize) -> Option<Figure> {
        let section = &self.plan.sections[section];
        self.puppets[section.model]
            .solve(&section.list.poses[pose])
            .ok()
    }

    fn refusal(&self, job: usize) -> Option<String> {
        self.rehearsal[job].as_ref().err().map(ToString::to_string)
    }

    fn heading(&self, section: usize, kind: MemberKind, facts: Vec<String>) -> Heading {
        let model = self.of(section);
        let mut subtitle = match kind {
            MemberKind::Model => "model sheet",
            MemberKind::Expressions => "expressions",
            MemberKind::Charts => "replacements",
            MemberKind::Colours => "colours",
            other => other.name(),
        }
        .to_owned();
        if let Some(view) = model.view_name()
            && kind != MemberKind::Turnaround
        {
            subtitle = format!("{subtitle} · {} view", spoken(view));
        }
        Heading {
            title: model.member.name.clone(),
            subtitle,
            facts,
            palette: None,
            sheet: self.plan.sections[section].name.clone(),
        }
    }

    fn made(&self, section: usize, stem: &str, document: Document) -> Made {
        let section = &self.plan.sections[section];
        let folder = section
            .folder
            .parent()
            .map(PathBuf::from)
            .unwrap_or_default();
        Made {
            document,
            name: section.name.clone(),
            folder,
            stem: stem.to_owned(),
            title: self.plan.models[section.model].member.name.clone(),
            findings: Vec::new(),
        }
    }

    fn model(&self, section: usize) -> Option<Made> {
        let model = self.of(section);
        let member = &model.member;
        let figure = self.solved(section, 0)?;
        let guides = &model.view().guides;
        let middle = |part| {
            let [left, top, right, bottom] = figure.extent_of(part)?;
            Some([f64::midpoint(left, right), f64::midpoint(top, bottom)])
        };
        let named = |name: &str| guides.landmarks.iter().any(|l| l.name == name);
        let mut landmarks: Vec<(String, f64)> = guides
            .landmarks
            .iter()
            .filter_map(|l| Some((l.name.clone(), figure.landmark(l)?)))
            .filter(|(name, _)| name != "ground")
            .collect();
        if let Some(crown) = member.crown.filter(|_| !named("crown")) {
            landmarks.push(("crown".into(), crown));
        }
        let sheet = ModelSheet {
            heading: self.heading(section, MemberKind::Model, Vec::new()),
            figure: self.jobs[section].start,
            window: figure.extent().unwrap_or([0.0, 0.0, 1.0, 1.0]),
            ground: member.ground,
            crown: member.crown,
            heads: member.heads,
            height: member.height.as_ref().map(|h| h.text.clone()),
            landmarks,
            measures: guides
                .measures
                .iter()
                .map(|m| (m.name.clone(), m.length()))
                .collect(),
            notes: guides
                .notes
                .iter()
                .filter_map(|note| {
                    let at = note.at.or_else(|| middle(note.part))?;
                    Some((note.text.clone(), at))
                })
                .collect(),
            palette: member
                .palettes
                .first()
                .map(|p| (p.name.clone(), swatches(p))),
        };
        Some(self.made(section, "model", model_sheet(&sheet, self.look)))
    }

    fn turnaround(&self, sections: &[usize]) -> Option<Made> {
        let first = *sections.first()?;
        let member = Arc::clone(&self.of(first).member);
        let figures: Vec<(usize, Figure)> = sections
            .iter()
            .filter_map(|&at| Some((at, self.solved(at, 0)?)))
            .collect();
        let extents: Vec<[f64; 4]> = figures
            .iter()
            .map(|(_, f)| f.extent().unwrap_or([0.0, 0.0, 1.0, 1.0]))
            .collect();
        let mut names: Vec<&str> = Vec::new();
        for view in &member.views {
            for landmark in &view.guides.landmarks {
                if !names.contains(&landmark.name.as_str()) {
                    names.push(&landmark.name);
                }
            }
        }
        let crown = if names.contains(&"crown") {
            None
        } else {
            Some("crown")
        };
        let ground = if names.contains(&"ground") {
            None
        } else {
            Some("ground")
        };
        let mut spans = Vec::new();
        let mut guides = Vec::new();
        for name in names.into_iter().chain(crown).chain(ground) {
            let declared = |at: usize| {
                let landmarks = &self.of(at).view().guides.landmarks;
                landmarks.iter().find(|l| l.name == name)
            };
            let drawn =
                figures
                    .iter()
                    .zip(&extents)
                    .map(|((at, figure), extent)| match declared(*at) {
                        Some(landmark) => figure.landmark(landmark),
                        None if crown == Some(name) => Some(extent[1]),
                        None if ground == Some(name) => Some(extent[3]),
                        None => None,
                    });
            let guide = Guide {
                name: name.to_owned(),
                said: match name {
                    "crown" => member.crown,
                    "ground" => member.ground,
                    _ => None,
                },
                drawn: drawn.collect(),
            };
            let place = figures.iter().find_map(|(at, _)| declared(*at));
            spans.push(
                place.map_or(Place::File(member.folder.join("rig.toml")), |l| {
                    Place::Span(l.span)
                }),
            );
            guides.push(guide);
        }
        let tall = |v: &[f64; 4]| v[3] - v[1];
        let height = match (member.crown, member.ground) {
            (Some(crown), Some(ground)) => ground - crown,
            _ => extents.iter().map(tall).fold(1e-6, f64::max),
        };
        let mut heading = self.heading(first, MemberKind::Turnaround, Vec::new());
        heading.facts = vec![
            format!("{} views", figures.len()),
            format!(
                "landmarks may drift by {} % of the height",
                crate::sheet::number(member.drift * 100.0, 2)
            ),
        ];
        heading.sheet = format!("{}/turnaround", member.key);
        let mut sheet = Turnaround {
            heading,
            views: figures
                .iter()
                .zip(&extents)
                .map(|((at, _), extent)| TurnedView {
                    name: self.of(*at).view_name().unwrap_or("view").to_owned(),
                    figure: self.jobs[*at].start,
                    window: *extent,
                })
                .collect(),
            guides,
            ground: member.ground,
            height,
            heads: member.heads,
            tolerance: member.drift,
        };
        let limit = sheet.tolerance * sheet.height;
        let findings = sheet
            .guides
            .iter()
            .zip(&spans)
            .filter(|(guide, _)| guide.drifts(limit))
            .map(|(guide, place)| {
                Problem::warning(place.clone(), sheet.fault(guide)).hint(
                    "mend the art or the landmark, or allow more with \"drift\" in [character]",
                )
            })
            .collect();
        sheet.guides.sort_by(|a, b| {
            a.level()
                .partial_cmp(&b.level())
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let document = turnaround(&sheet, self.look);
        Some(Made {
            document,
            name: sheet.heading.sheet.clone(),
            folder: PathBuf::from(file_name(&member.key)),
            stem: "turnaround".into(),
            title: member.name.clone(),
            findings,
        })
    }

    fn expressions(&self, section: usize) -> Result<Option<Made>, TooSmall> {
        let model = self.of(section);
        let poses = &self.plan.sections[section].list.poses;
        let Some(window) = head(model).and_then(|crop| self.window(section, crop)) else {
            return Ok(None);
        };
        let cells = poses
            .iter()
            .zip(self.jobs[section].clone())
            .map(|(pose, job)| Cell {
                name: pose.name.clone(),
                note: pose.note.clone(),
                figures: vec![Shown::plain(job)],
                refusal: self.refusal(job),
                ..Cell::default()
            });
        let count = poses.len();
        let sheet = Sheet {
            heading: self.heading(
                section,
                MemberKind::Expressions,
                vec![format!("{count} expressions")],
            ),
            ground: None,
            figure: 480.0,
            strips: false,
            groups: vec![Group {
                window,
                cells: cells.collect(),
                ..Group::default()
            }],
        };
        let document = lay_out(&sheet, self.look)?;
        Ok(Some(self.made(section, "expressions", document)))
    }

    /// What a crop shows at rest.
    fn window(&self, section: usize, crop: &Crop) -> Option<[f64; 4]> {
        let model = self.plan.sections[section].model;
        let figure = self.puppets[model].solve(&rest("rest")).ok()?;
        let [left, top, right, bottom] = match crop.area {
            Some(area) => area,
            None => figure.extent_from(crop.part)?,
        };
        let margin = (right - left).max(bottom - top) * crop.margin;
        Some([left - margin, top - margin, right + margin, bottom + margin])
    }

    fn charts(&self, section: usize) -> Result<Vec<Made>, TooSmall> {
        let model = self.of(section);
        let member = &model.member;
        let mut job = self.jobs[section].start;
        let mut pose = 0;
        let mut sheets = Vec::new();
        for chart in charts(model) {
            let mut groups = Vec::new();
            let mut count = 0;
            let crop = chart.crop.map(|at| &model.view().guides.crops[at]);
            let window = crop.and_then(|crop| self.window(section, crop));
            for &part in &chart.parts {
                let names = drawings(model, part);
                let own = match window {
                    Some(window) => window,
                    None => self.around(section, pose..pose + names.len(), part),
                };
                count += names.len();
                let cells = names.iter().map(|name| {
                    let cell = Cell {
                        name: if name == "art" {
                            "as drawn".into()
                        } else {
                            name.clone()
                        },
                        figures: vec![Shown::plain(job)],
                        refusal: self.refusal(job),
                        ..Cell::default()
                    };
                    job += 1;
                    cell
                });
                let name = &member.names[model.view().parts[part.at()].name.at()];
                groups.push(Group {
                    window: own,
                    name: Some(name.clone()),
                    cells: cells.collect(),
                    ..Group::default()
                });
                pose += names.len();
            }
            let mut heading = self.heading(
                section,
                MemberKind::Charts,
                vec![format!("{count} drawings")],
            );
            heading.subtitle = format!("{} chart", spoken(&chart.name));
            if let Some(view) = model.view_name() {
                heading.subtitle = format!("{} · {} view", heading.subtitle, spoken(view));
            }
            heading.sheet = format!("{}/{}", heading.sheet, chart.name);
            let sheet = Sheet {
                heading,
                ground: None,
                figure: 380.0,
                strips: false,
                groups,
            };
            let document = lay_out(&sheet, self.look)?;
            let mut made = self.made(
                section,
                &format!("chart.{}", file_name(&chart.name)),
                document,
            );
            made.name = format!("{}/{}", made.name, chart.name);
            sheets.push(made);
        }
        Ok(sheets)
    }

    /// What all drawings of a part cover, with room around.
    fn around(&self, section: usize, poses: Range<usize>, part: PartId) -> [f64; 4] {
        let mut all: Option<[f64; 4]> = None;
        for extent in poses.filter_map(|pose| self.solved(section, pose)?.extent_of(part)) {
            let a = all.get_or_insert(extent);
            *a = [
                a[0].min(extent[0]),
                a[1].min(extent[1]),
                a[2].max(extent[2]),
                a[3].max(extent[3]),
            ];
        }
        let [left, top, right, bottom] = all.unwrap_or([0.0, 0.0, 1.0, 1.0]);
        let margin = (right - left).max(bottom - top) * 0.3;
        [left - margin, top - margin, right + margin, bottom + margin]
    }

    fn colours(&self, section: usize) -> Option<Made> {
        let model = self.of(section);
        let member = &model.member;
        let figure = self.solved(section, 0)?;
        let fact = match member.palettes.len() {
            1 => "1 palette".to_owned(),
            n => format!("{n} palettes"),
        };
        let sheet = ColourSheet {
            heading: self.heading(section, MemberKind::Colours, vec![fact]),
            window: figure.extent()?,
            ground: member.ground,
            palettes: member
                .palettes
                .iter()
                .zip(self.jobs[section].clone())
                .map(|(palette, figure)| Coloured {
                    name: palette.name.clone(),
                    figure,
                    swatches: swatches(palette),
                })
                .collect(),
        };
        Some(self.made(section, "colours", colour_sheet(&sheet, self.look)))
    }

    fn line_up(&self, sections: &[usize], cast: &str) -> Option<Made> {
        let members: Vec<(usize, Figure)> = sections
            .iter()
            .filter_map(|&at| Some((at, self.solved(at, 0)?)))
            .collect();
        if members.is_empty() {
            return None;
        }
        // Heights in life tell the scale where all have one; else canvases share their unit.
        let life = |at: usize| {
            let member = &self.of(at).member;
            let tall = member.ground? - member.crown?;
            Some(member.height.as_ref()?.millimetres / tall / 10.0)
        };
        let in_life = members.iter().all(|(at, _)| life(*at).is_some());
        let missing: Vec<&str> = members
            .iter()
            .filter(|(at, _)| life(*at).is_none())
            .map(|(at, _)| self.of(*at).member.name.as_str())
            .collect();
        let facts = if in_life || missing.len() == members.len() {
            Vec::new()
        } else {
            vec![format!(
                "in canvas units: no height in life is given for {}",
                missing.join(", ")
            )]
        };
        let count = members.len();
        let sheet = LineUp {
            heading: Heading {
                title: cast.to_owned(),
                subtitle: format!(
                    "line-up · {count} member{}",
                    if count == 1 { "" } else { "s" }
                ),
                facts,
                palette: None,
                sheet: "line-up".into(),
            },
            unit: if in_life { "cm".into() } else { String::new() },
            members: members
                .iter()
                .filter_map(|(at, figure)| {
                    let member = &self.of(*at).member;
                    let window = figure.extent()?;
                    let ground = member.ground.unwrap_or(window[3]);
                    let units = member.crown.map(|crown| ground - crown);
                    Some(Standing {
                        name: member.name.clone(),
                        figure: self.jobs[*at].start,
                        window,
                        ground,
                        crown: member.crown,
                        size: life(*at).filter(|_| in_life).unwrap_or(1.0),
                        height: match &member.height {
                            Some(height) if in_life => Some(height.text.clone()),
                            _ => units.map(|u| format!("{} units", crate::sheet::number(u, 0))),
                        },
                    })
                })
                .collect(),
        };
        Some(Made {
            document: line_up(&sheet, self.look),
            name: "line-up".into(),
            folder: PathBuf::new(),
            stem: "line-up".into(),
            title: cast.to_owned(),
            findings: Vec::new(),
        })
    }
}

fn swatches(palette: &crate::cast::Palette) -> Vec<Swatch> {
    let all = palette.swatches.iter();
    all.map(|(name, colour)| (name.clone(), *colour)).collect()
}
