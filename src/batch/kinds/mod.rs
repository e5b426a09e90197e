//! Sheets of a member, or of the cast, that no pose list asks for: model, turnaround, expressions,
//! charts, line-up, colours.

mod cells;
mod colours;
mod line_up;
mod model;
pub(super) mod poses;
mod turnaround;

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::choice::{Choice, Subject, chosen_views};
use super::files::file_name;
use super::member_kind::MemberKind;
use super::plan::Plan;
use super::section::{MemberView, Purpose, Section};
use super::sheets::{PlannedSheet, Rehearsal, named, page_names};
use crate::cast::{ListSheet, Member, Pose, PoseList};
use crate::diag::Problem;
use crate::name::Name;
use crate::sheet::{Document, Heading, Look, TooSmall, spoken};
use crate::solve::{Figure, Puppet};

/// A sheet laid out.
pub(super) struct Made {
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
                    MemberKind::Expressions => poses::expressions(plan, &listed, model),
                    MemberKind::Charts => poses::charted(&plan.models[model], None),
                    MemberKind::Colours => poses::palettes(member, &poses::rest("")),
                    _ => vec![poses::rest("rest")],
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

pub(super) fn model_of(plan: &mut Plan, subject: &Subject, view: usize) -> usize {
    let same = |m: &MemberView| m.view == view && Arc::ptr_eq(&m.member, &subject.member);
    if let Some(at) = plan.models.iter().position(same) {
        return at;
    }
    plan.models.push(MemberView {
        member: Arc::clone(&subject.member),
        library: Arc::clone(&subject.library),
        view,
    });
    plan.models.len() - 1
}

fn section(plan: &Plan, model: usize, kind: MemberKind, poses: Vec<Pose>) -> Section {
    let of = &plan.models[model];
    let mut folder = PathBuf::from(file_name(&of.member.key));
    folder.extend(of.view_name().map(file_name));
    folder.push(kind.name());
    Section {
        model,
        poses: (0..poses.len()).collect(),
        sweeps: Vec::new(),
        name: Name::new(&of.member.key, of.view_name()).list(kind.name()),
        folder,
        list: Arc::new(PoseList {
            key: kind.name().into(),
            poses,
            ..PoseList::default()
        }),
        purpose: Purpose::Sheet(kind),
    }
}

/// Everything that laying out needs.
pub(super) struct KindMaker<'a> {
    pub plan: &'a Plan,
    pub puppets: &'a [Puppet],
    pub rehearsal: &'a Rehearsal,
    pub look: &'a Look,
    /// The jobs of each section.
    pub jobs: &'a [Range<usize>],
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
    let jobs = jobs_of(plan);
    let maker = KindMaker {
        plan,
        puppets,
        rehearsal,
        look,
        jobs: &jobs,
    };
    let mut sheets = Vec::new();
    let mut turned: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut standing = Vec::new();
    for (at, section) in plan.sections.iter().enumerate() {
        let Purpose::Sheet(kind) = section.purpose else {
            continue;
        };
        match kind {
            MemberKind::Model => sheets.extend(maker.model(at)),
            MemberKind::Turnaround => {
                let key = &plan.models[section.model].member.key;
                turned.entry(key.clone()).or_default().push(at);
            }
            MemberKind::Expressions => sheets.extend(maker.expressions(at)?),
            MemberKind::Charts => sheets.extend(maker.charts(at)?),
            MemberKind::LineUp => standing.push(at),
            MemberKind::Colours => sheets.extend(maker.colours(at)),
        }
    }
    sheets.extend(
        turned
            .values()
            .filter_map(|sections| maker.turnaround(sections)),
    );
    sheets.extend(maker.line_up(&standing, cast));
    let mut findings = Vec::new();
    let planned = sheets
        .into_iter()
        .map(|made| made.planned(out, &mut findings));
    let planned = planned.collect();
    Ok((planned, findings))
}

/// The places of each section's poses among the jobs.
pub(super) fn jobs_of(plan: &Plan) -> Vec<Range<usize>> {
    let mut next = 0;
    let sections = plan.sections.iter().map(|section| {
        let first = next;
        next += section.all_poses().len();
        first..next
    });
    sections.collect()
}

impl Made {
    /// With its files in a folder; adds what it found to the findings.
    pub(super) fn planned(self, out: &Path, findings: &mut Vec<Problem>) -> PlannedSheet {
        findings.extend(self.findings);
        let files = page_names(&self.stem, "sheet", self.document.pages.len());
        let folder = out.join(&self.folder);
        PlannedSheet {
            pack: folder.join("sheets.pdf"),
            pack_title: self.title,
            files: files.into_iter().map(|file| folder.join(file)).collect(),
            document: self.document,
            name: self.name,
        }
    }
}

impl KindMaker<'_> {
    fn of(&self, section: usize) -> &MemberView {
        &self.plan.models[self.plan.sections[section].model]
    }

    /// The figure of a section's pose; `None` where it cannot be solved, which is told elsewhere.
    fn solved(&self, section: usize, pose: usize) -> Option<Figure> {
        let section = &self.plan.sections[section];
        self.puppets[section.model]
            .figure(&section.list.poses[pose])
            .ok()
    }

    fn refusal(&self, job: usize) -> Option<String> {
        self.rehearsal[job].as_ref().err().map(ToString::to_string)
    }

    /// The sheet that a list asks for, where the section is for one.
    fn declared(&self, section: usize) -> Option<&ListSheet> {
        self.plan.sections[section].declared()
    }

    fn heading(&self, section: usize, kind: MemberKind, mut facts: Vec<String>) -> Heading {
        let model = self.of(section);
        let declared = self.declared(section);
        let mut subtitle = match declared {
            Some(sheet) => named(sheet),
            None => match kind {
                MemberKind::Model => "model sheet",
                MemberKind::Expressions => "expressions",
                MemberKind::Charts => "replacements",
                MemberKind::Colours => "colours",
                other => other.name(),
            }
            .to_owned(),
        };
        if let Some(view) = model.view_name()
            && kind != MemberKind::Turnaround
        {
            subtitle = format!("{subtitle} · {} view", spoken(view));
        }
        facts.extend(declared.and_then(|sheet| sheet.note.clone()));
        Heading {
            title: model.member.name.clone(),
            subtitle,
            facts,
            palette: None,
            sheet: self.plan.sections[section].name.to_string(),
        }
    }

    /// A sheet of a section; `stem` is what its files are called, unless a list asks for it.
    pub(super) fn made(&self, section: usize, stem: &str, document: Document) -> Made {
        let section = &self.plan.sections[section];
        let own = section
            .folder
            .file_name()
            .filter(|_| section.declared().is_some());
        let stem = own.map_or_else(|| stem.to_owned(), |own| own.to_string_lossy().into_owned());
        let folder = section
            .folder
            .parent()
            .map(PathBuf::from)
            .unwrap_or_default();
        Made {
            document,
            name: section.name.to_string(),
            folder,
            stem,
            title: self.plan.models[section.model].member.name.clone(),
            findings: Vec::new(),
        }
    }
}
