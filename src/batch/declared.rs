//! Sheets that pose lists ask for: `[sheet.<name>]`.

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::choice::{Choice, Only, Subject, Views};
use super::choice::{chosen_views, unmatched};
use super::files::file_name;
use super::filter::Filter;
use super::kinds::{KindMaker, Made, jobs_of, model_of, poses};
use super::plan::Plan;
use super::section::{ChosenSweep, MemberView, Purpose, Section};
use super::sheets::{Kind, Maker, Part, PlannedSheet, Rehearsal, Window};
use crate::cast::{ListSheet, PageSetup, Pose, PoseList, SheetKind, Stock};
use crate::diag::{Place, Problem};
use crate::name::Name;
use crate::sheet::{Look, TooSmall};
use crate::solve::Puppet;

/// How the pages of all sheets are set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Pages {
    /// What beats the sheets' own words.
    pub setup: PageSetup,
    /// What pages are cut to where nobody says.
    pub usual: Stock,
    /// Pixels to the inch.
    pub dpi: f64,
    /// What cells show, whatever a sheet says.
    pub window: Option<Window>,
}

impl Pages {
    /// Of a sheet that a list asks for; of any other, without one.
    #[must_use]
    pub fn look(&self, sheet: Option<&ListSheet>) -> Look {
        let setup = match sheet {
            Some(sheet) => self.setup.or(&sheet.setup),
            None => self.setup.clone(),
        };
        Look::of(&setup, self.usual, self.dpi)
    }
}

/// Adds to a plan the poses of all sheets that the subjects' lists ask for, or of those with these
/// names (`deckhand/front/acting/hands`, or the end of it). A name that finds nothing is a problem.
///
/// Views and poses are those of the choice; a sheet that names its views is of those, as far as they are
/// chosen where views are chosen by name.
pub fn add_declared(
    plan: &mut Plan,
    subjects: &[Subject],
    names: &[Filter],
    choice: &Choice,
) -> Vec<Problem> {
    let mut used = vec![false; names.len()];
    let mut all: Vec<String> = Vec::new();
    for subject in subjects {
        for list in &subject.lists {
            let mut wanted = |name: String| {
                let mut any = names.is_empty();
                for (filter, used) in names.iter().zip(&mut used) {
                    let found = filter.matches(&name);
                    *used |= found;
                    any |= found;
                }
                all.push(name);
                any
            };
            for name in &list.sheets_left_out {
                let own = Name::new(&subject.member.key, None).list(&list.key);
                let name = own.sheet(name);
                if wanted(name.to_string()) {
                    plan.left_out.push((name, "it has errors".into()));
                }
            }
            for sheet in &list.sheets {
                add_sheet(plan, subject, list, sheet, choice, &mut wanted);
            }
        }
    }
    let unused = names.iter().zip(used).filter(|(_, used)| !used);
    unused
        .map(|(filter, _)| unmatched("sheet", filter, all.iter().map(String::as_str)))
        .collect()
}

fn add_sheet(
    plan: &mut Plan,
    subject: &Subject,
    list: &Arc<PoseList>,
    sheet: &ListSheet,
    choice: &Choice,
    wanted: &mut dyn FnMut(String) -> bool,
) {
    let member = &subject.member;
    let chosen = chosen_views(member, &choice.views);
    let views: Vec<usize> = match (&sheet.views, sheet.kind) {
        (Some(own), _) if choice.views == Views::First => own.clone(),
        (Some(own), _) => own.iter().copied().filter(|v| chosen.contains(v)).collect(),
        (None, SheetKind::Turnaround) => (0..member.views.len()).collect(),
        (None, SheetKind::Colours) => chosen.into_iter().take(1).collect(),
        (None, _) => chosen,
    };
    if sheet.kind == SheetKind::Turnaround && views.len() < 2 {
        return;
    }
    let shared = Arc::new(own_list(list, sheet));
    for view in views {
        let view_name = member.views[view].name.as_deref();
        let own = Name::new(&member.key, view_name).list(&list.key);
        let name = own.sheet(&sheet.name);
        if !wanted(name.to_string()) {
            continue;
        }
        let model = model_of(plan, subject, view);
        let list = match made_up(&plan.models[model], list, sheet) {
            Some(poses) if poses.is_empty() => continue,
            Some(poses) => Arc::new(PoseList {
                poses,
                ..(*shared).clone()
            }),
            None => Arc::clone(&shared),
        };
        let filtered = |pose: &str| {
            let pose = own.pose(pose).to_string();
            choice.poses.is_empty() || choice.poses.iter().any(|filter| filter.matches(&pose))
        };
        let (poses, sweeps) = take(sheet, &list, choice.only, &filtered);
        if poses.is_empty() && sweeps.is_empty() {
            continue;
        }
        let mut folder = PathBuf::from(file_name(&member.key));
        folder.extend(view_name.map(file_name));
        folder.push(file_name(&format!("{}.{}", list.key, sheet.name)));
        plan.sections.push(Section {
            model,
            list,
            poses,
            sweeps,
            name,
            folder,
            purpose: Purpose::Declared,
        });
    }
}

/// The list as a sheet has it: the sheet alone, and poses in its palette.
fn own_list(list: &PoseList, sheet: &ListSheet) -> PoseList {
    let mut own = PoseList {
        sheets: vec![sheet.clone()],
        sheets_left_out: Vec::new(),
        ..list.clone()
    };
    if let Some(palette) = sheet.palette {
        let swept = own.sweeps.iter_mut().flat_map(|sweep| &mut sweep.poses);
        own.poses
            .iter_mut()
            .chain(swept)
            .for_each(|pose| pose.palette = palette);
    }
    own
}

/// The poses of a sheet that no file says, or that are other than the list's.
fn made_up(model: &MemberView, list: &PoseList, sheet: &ListSheet) -> Option<Vec<Pose>> {
    let named = |at: &usize| list.poses[*at].clone();
    let mut poses = match sheet.kind {
        SheetKind::Pose | SheetKind::Range | SheetKind::Onion => return None,
        SheetKind::Model | SheetKind::Turnaround => vec![poses::rest("rest")],
        SheetKind::Expressions => match (&sheet.poses, poses::crop(model, sheet.crop.as_deref())) {
            (_, None) => Vec::new(),
            (Some(own), Some(_)) => own.iter().map(named).collect(),
            (None, Some(crop)) => poses::faces(model, crop, list.poses.iter()),
        },
        SheetKind::Charts => poses::charted(model, sheet.charts.as_deref()),
        SheetKind::Colours => {
            let own = sheet.poses.as_ref().and_then(|all| all.first());
            let of = own.map_or_else(|| poses::rest("rest"), named);
            poses::palettes(&model.member, &of)
        }
    };
    if let Some(palette) = sheet.palette {
        poses.iter_mut().for_each(|pose| pose.palette = palette);
    }
    Some(poses)
}

/// The places of poses and sweeps in the sheet's own list.
fn take(
    sheet: &ListSheet,
    list: &PoseList,
    only: Only,
    wanted: &dyn Fn(&str) -> bool,
) -> (Vec<usize>, Vec<ChosenSweep>) {
    let named = sheet.poses.is_some() || sheet.sweeps.is_some();
    let some = |own: &Option<Vec<usize>>, all: usize| match own {
        Some(own) => own.clone(),
        None if named => Vec::new(),
        None => (0..all).collect(),
    };
    let of_poses = || some(&sheet.poses, list.poses.len());
    let of_sweeps = || some(&sheet.sweeps, list.sweeps.len());
    let (mut poses, sweeps) = match sheet.kind {
        SheetKind::Pose => (of_poses(), Vec::new()),
        SheetKind::Range => (Vec::new(), of_sweeps()),
        SheetKind::Onion => (of_poses(), of_sweeps()),
        // Its own list has nothing else.
        SheetKind::Expressions
        | SheetKind::Charts
        | SheetKind::Model
        | SheetKind::Turnaround
        | SheetKind::Colours => return ((0..list.poses.len()).collect(), Vec::new()),
    };
    poses.retain(|&at| only != Only::Sweeps && wanted(&list.poses[at].name));
    let sweeps = sweeps.into_iter().filter(|_| only != Only::Poses);
    let sweeps = sweeps.filter_map(|at| {
        let sweep = &list.sweeps[at];
        let whole = wanted(&sweep.name);
        let steps = sweep.poses.iter().enumerate();
        let steps = steps.filter(|(_, pose)| whole || wanted(&pose.name));
        let poses: Vec<usize> = steps.map(|(at, _)| at).collect();
        (!poses.is_empty()).then_some(ChosenSweep { sweep: at, poses })
    });
    (poses, sweeps.collect())
}

/// The sheets of a plan, laid out, and what there is to say of them.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// In the order of the input.
    pub sheets: Vec<PlannedSheet>,
    /// What a person must look at: landmarks that drift.
    pub findings: Vec<Problem>,
    /// Sheets that their pages cannot hold: name and problem.
    pub refused: Vec<(String, Problem)>,
}

/// Lays out the sheets that [`add_declared`] prepared.
#[must_use]
pub fn plan_declared(
    plan: &Plan,
    puppets: &[Puppet],
    rehearsal: &Rehearsal,
    out: &Path,
    pages: &Pages,
) -> Laid {
    let jobs = jobs_of(plan);
    let mut laid = Laid::default();
    let declared = |at: &usize| plan.sections[*at].purpose == Purpose::Declared;
    let sections: Vec<usize> = (0..plan.sections.len()).filter(declared).collect();
    // The views of a turnaround share a list.
    let together = |a: &usize, b: &usize| {
        let (a, b) = (&plan.sections[*a], &plan.sections[*b]);
        one_sheet(a, b) && same_member(a, b, plan)
    };
    for sections in sections.chunk_by(together) {
        let section = &plan.sections[sections[0]];
        let Some(sheet) = section.declared() else {
            continue;
        };
        let look = pages.look(Some(sheet));
        let kinds = KindMaker {
            plan,
            puppets,
            rehearsal,
            look: &look,
            jobs: &jobs,
        };
        match one(&kinds, sections, sheet, pages.window, &jobs) {
            Ok(Some(made)) => laid.sheets.push(made.planned(out, &mut laid.findings)),
            Ok(None) => {}
            Err(error) => {
                let problem = Problem::error(Place::Span(sheet.span), error.to_string());
                let hint = "give \"page\" more height, or \"cell\" less";
                laid.refused
                    .push((section.name.to_string(), problem.hint(hint)));
            }
        }
    }
    laid
}

/// True for two views of one turnaround that a list asks for.
#[must_use]
pub fn one_sheet(a: &Section, b: &Section) -> bool {
    let turned = |section: &Section| {
        let sheet = section.declared()?;
        (sheet.kind == SheetKind::Turnaround).then_some(sheet.span)
    };
    a.model != b.model && turned(a).is_some() && turned(a) == turned(b)
}

fn same_member(a: &Section, b: &Section, plan: &Plan) -> bool {
    let of = |section: &Section| Arc::as_ptr(&plan.models[section.model].member);
    of(a) == of(b)
}

fn one(
    kinds: &KindMaker<'_>,
    sections: &[usize],
    sheet: &ListSheet,
    window: Option<Window>,
    jobs: &[Range<usize>],
) -> Result<Option<Made>, TooSmall> {
    let at = sections[0];
    let kind = match sheet.kind {
        SheetKind::Pose => Kind::Pose,
        SheetKind::Range => Kind::Range,
        SheetKind::Onion => Kind::Onion,
        SheetKind::Model => return Ok(kinds.model(at)),
        SheetKind::Turnaround => return Ok(kinds.turnaround(sections)),
        SheetKind::Expressions => return kinds.expressions(at),
        SheetKind::Charts => return Ok(kinds.charts(at)?.pop()),
        SheetKind::Colours => return Ok(kinds.colours(at)),
    };
    let section = &kinds.plan.sections[at];
    let model = &kinds.plan.models[section.model];
    let usual = if sheet.canvas {
        Window::Canvas
    } else {
        Window::Figures
    };
    let crop = match (&sheet.crop, window) {
        (Some(name), None) => {
            let Some(crop) = poses::crop(model, Some(name)) else {
                return Ok(None);
            };
            kinds.window(at, crop)
        }
        _ => None,
    };
    let parts = [Part::new(section, &mut jobs[at].clone())];
    let maker = Maker {
        parts: &parts,
        model,
        rehearsal: kinds.rehearsal,
        window: window.unwrap_or(usual),
        crop,
        declared: Some(sheet),
    };
    let Some((content, _)) = maker.sheet(kind) else {
        return Ok(None);
    };
    let document = crate::sheet::lay_out(&content, kinds.look)?;
    Ok(Some(kinds.made(at, "", document)))
}
