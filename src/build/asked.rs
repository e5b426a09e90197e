//! Sheets that are asked for: by kind, or by a pose list with `[sheet.<name>]`; and which of a plan's sections
//! make a sheet together.

use std::path::PathBuf;
use std::sync::Arc;

use crate::build::choice::{Choice, Views, chosen_views, unmatched};
use crate::build::filter::Filter;
use crate::build::plan::{Plan, chosen};
use crate::build::section::{ChosenSweep, MemberView, Purpose, Section};
use crate::build::shown::shown;
use crate::cast::{ListSheet, Member, Pose, PoseList, SheetKind};
use crate::diag::Problem;
use crate::files::file_name;
use crate::name::Name;
use crate::project::Subject;

/// Sections of a plan, by place, that make a sheet together, or several of one kind: the views of a turnaround,
/// the members of a line-up, joined lists; else it is one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetGroup {
    /// What is made.
    pub kind: SheetKind,
    /// Of what.
    pub sections: Vec<usize>,
}

impl Plan {
    /// All sheets of the plan: of its lists those of these kinds, unless the list itself asks for one of all
    /// that they would show; with `join` one for all lists of a view.
    #[must_use]
    pub fn sheets(&self, kinds: &[SheetKind], join: bool) -> Vec<SheetGroup> {
        let all = 0..self.sections.len();
        let (lists, others): (Vec<usize>, Vec<usize>) =
            all.partition(|&at| self.sections[at].purpose == Purpose::List);
        let together = |a: &usize, b: &usize| join && self.model_of(*a) == self.model_of(*b);
        let mut groups = Vec::new();
        for sections in lists.chunk_by(together) {
            let shown = |kind: &&SheetKind| {
                sections.iter().any(|&at| self.sections[at].suits(**kind))
                    && (join || !self.is_asked(&self.sections[sections[0]], **kind))
            };
            groups.extend(kinds.iter().filter(shown).map(|&kind| SheetGroup {
                kind,
                sections: sections.to_vec(),
            }));
        }
        for sections in others.chunk_by(|a, b| self.one_sheet(*a, *b)) {
            groups.extend(self.sections[sections[0]].kind().map(|kind| SheetGroup {
                kind,
                sections: sections.to_vec(),
            }));
        }
        groups
    }

    fn model_of(&self, section: usize) -> usize {
        self.sections[section].model
    }

    /// True for two neighbours that no sheet shows apart.
    fn one_sheet(&self, a: usize, b: usize) -> bool {
        let member = |at: usize| &self.models[self.model_of(at)].member;
        let [one, other] = [a, b].map(|at| &self.sections[at]);
        let asked = |section: &Section| section.declared().map(|sheet| sheet.span);
        one.purpose == other.purpose
            && one.kind() == other.kind()
            && asked(one) == asked(other)
            && match one.kind() {
                Some(SheetKind::LineUp) => true,
                Some(SheetKind::Turnaround) => {
                    one.model != other.model
                        && one.list.key == other.list.key
                        && Arc::ptr_eq(member(a), member(b))
                }
                _ => false,
            }
    }

    /// True where the list itself asks for a sheet of all that the usual one would show.
    fn is_asked(&self, section: &Section, kind: SheetKind) -> bool {
        let view = self.models[section.model].view;
        self.sections.iter().any(|other| {
            let sheet = other.declared();
            other.model == section.model
                && other.list.path == section.list.path
                && sheet.is_some_and(|sheet| sheet.is_of_all(kind, view))
        })
    }

    /// The folder of a group's files, below that of everything, what they are called, and how they end.
    #[must_use]
    pub fn sheet_place(&self, of: &SheetGroup) -> (PathBuf, String, &'static str) {
        let first = &self.sections[of.sections[0]];
        let folder = match of.kind {
            SheetKind::LineUp => PathBuf::new(),
            SheetKind::Turnaround => file_name(&self.models[first.model].member.key).into(),
            _ => first.folder.parent().map(PathBuf::from).unwrap_or_default(),
        };
        let stem = match of.sections[..] {
            [_, _, ..] if of.kind.is_of_list() => "all".into(),
            _ => first
                .folder
                .file_name()
                .unwrap_or_default()
                .to_string_lossy(),
        };
        let ending = match first.purpose {
            Purpose::Declared => "sheet",
            _ => of.kind.spec().ending,
        };
        (folder, stem.into_owned(), ending)
    }

    /// Adds to the plan the poses that sheets of these kinds show. Expressions are the plan's own poses;
    /// unless `lists` is true, the plan's lists are taken out.
    pub fn add_kinds(
        &mut self,
        subjects: &[Subject],
        kinds: &[SheetKind],
        lists: bool,
        choice: &Choice,
    ) {
        let listed = self.sections.clone();
        for &kind in kinds {
            for subject in subjects {
                if kind == SheetKind::Turnaround && !choice.poses.is_empty() {
                    self.add_turned(subject, choice);
                    continue;
                }
                for view in views(kind, &subject.member, None, choice) {
                    let model = self.model(subject, view);
                    let own = listed.iter().filter(|section| section.model == model);
                    let own: Vec<&Pose> = own.flat_map(Section::poses).collect();
                    let poses = shown(kind, &self.models[model], None, &own);
                    let purpose = Purpose::Sheet(kind);
                    let name = self.models[model].name().list(kind.name());
                    let list = PoseList {
                        key: kind.name().into(),
                        poses,
                        ..PoseList::default()
                    };
                    let all = (0..list.poses.len()).collect();
                    let list = Arc::new(list);
                    self.add_section((model, purpose), name, kind.name(), list, (all, vec![]));
                }
            }
        }
        if !lists {
            self.sections
                .retain(|section| section.purpose != Purpose::List);
            self.left_out.clear();
        }
    }

    /// Adds turnarounds of the poses that are chosen by name, one for each.
    fn add_turned(&mut self, subject: &Subject, choice: &Choice) {
        let kind = SheetKind::Turnaround;
        let views = views(kind, &subject.member, None, choice);
        for list in &subject.lists {
            for pose in &list.poses {
                let named = |&view: &usize| {
                    let own = MemberView::new(subject, view).name().list(&list.key);
                    Filter::any(&choice.poses, &own.pose(&pose.name).to_string())
                };
                if !views.iter().any(named) {
                    continue;
                }
                for &view in &views {
                    let model = self.model(subject, view);
                    let key = format!("{}.{}", kind.name(), pose.name);
                    let seen = pose.in_view(self.models[model].view_name()).into_owned();
                    let turned = Arc::new(PoseList {
                        key: key.clone(),
                        poses: vec![seen],
                        ..PoseList::default()
                    });
                    let name = self.models[model].name().list(&key);
                    self.add_section(
                        (model, Purpose::Sheet(kind)),
                        name,
                        &key,
                        turned,
                        (vec![0], vec![]),
                    );
                }
            }
        }
    }

    /// Adds a section, unless nothing is in it.
    fn add_section(
        &mut self,
        (model, purpose): (usize, Purpose),
        name: Name,
        file: &str,
        list: Arc<PoseList>,
        (poses, sweeps): (Vec<usize>, Vec<ChosenSweep>),
    ) {
        if poses.is_empty() && sweeps.is_empty() {
            return;
        }
        let folder = self.models[model].folder().join(file_name(file));
        self.sections.push(Section {
            model,
            list,
            poses,
            sweeps,
            name,
            folder,
            purpose,
        });
    }

    /// Adds to the plan the poses of all sheets that the subjects' lists ask for, or of those with these
    /// names (`deckhand/front/acting/hands`, or the end of it). A name that finds nothing is a problem.
    ///
    /// Views and poses are those of the choice; a sheet that names its views is of those, as far as they are
    /// chosen where views are chosen by name.
    pub fn add_declared(
        &mut self,
        subjects: &[Subject],
        names: &[Filter],
        choice: &Choice,
    ) -> Vec<Problem> {
        let mut used = vec![false; names.len()];
        let mut all: Vec<String> = Vec::new();
        for subject in subjects {
            for list in &subject.lists {
                let mut wanted = |name: &Name| {
                    let name = name.to_string();
                    let any = names.is_empty() | Filter::mark(names, &mut used, &name);
                    all.push(name);
                    any
                };
                for name in &list.sheets_left_out {
                    let own = Name::new(&subject.member.key, None).list(&list.key);
                    let name = own.sheet(name);
                    if wanted(&name) {
                        self.left_out.push((name, "it has errors".into()));
                    }
                }
                for sheet in &list.sheets {
                    self.add_sheet(subject, list, sheet, choice, &mut wanted);
                }
            }
        }
        let unused = names.iter().zip(used).filter(|(_, used)| !used);
        unused
            .map(|(filter, _)| unmatched("sheet", filter, all.iter().map(String::as_str)))
            .collect()
    }

    fn add_sheet(
        &mut self,
        subject: &Subject,
        list: &Arc<PoseList>,
        sheet: &ListSheet,
        choice: &Choice,
        wanted: &mut dyn FnMut(&Name) -> bool,
    ) {
        for view in views(sheet.kind, &subject.member, Some(sheet), choice) {
            let seen = list.in_view(subject.member.views[view].name.as_deref());
            let shared = Arc::new(own_list(&seen, sheet));
            let own = MemberView::new(subject, view).name().list(&list.key);
            let name = own.sheet(&sheet.name);
            if !wanted(&name) {
                continue;
            }
            let model = self.model(subject, view);
            let (list, chosen) = if sheet.kind.is_of_list() {
                let mut filtered = |names: &[&str]| {
                    let mut names = names.iter().map(|name| own.pose(*name).to_string());
                    choice.poses.is_empty() || names.any(|name| Filter::any(&choice.poses, &name))
                };
                let both = listed(sheet, &shared);
                let chosen = chosen(&shared, both, choice.only, &mut filtered);
                (Arc::clone(&shared), chosen)
            } else {
                let all: Vec<&Pose> = seen.poses.iter().collect();
                let mut poses = shown(sheet.kind, &self.models[model], Some(sheet), &all);
                for pose in &mut poses {
                    pose.palette = sheet.palette.unwrap_or(pose.palette);
                }
                let all = (0..poses.len()).collect();
                let list = PoseList {
                    poses,
                    ..(*shared).clone()
                };
                (Arc::new(list), (all, Vec::new()))
            };
            let file = format!("{}.{}", list.key, sheet.name);
            self.add_section((model, Purpose::Declared), name, &file, list, chosen);
        }
    }
}

/// The views that a kind of sheet shows of a member.
fn views(
    kind: SheetKind,
    member: &Member,
    sheet: Option<&ListSheet>,
    choice: &Choice,
) -> Vec<usize> {
    let mut chosen = chosen_views(member, &choice.views);
    let own = sheet.and_then(|sheet| sheet.views.as_ref());
    let views = match (own, kind) {
        (Some(own), _) if choice.views == Views::First => own.clone(),
        (Some(own), _) => own.iter().copied().filter(|v| chosen.contains(v)).collect(),
        (None, SheetKind::Turnaround) => (0..member.views.len()).collect(),
        (None, SheetKind::LineUp | SheetKind::Colours) => {
            chosen.truncate(1);
            chosen
        }
        (None, _) => chosen,
    };
    if kind == SheetKind::Turnaround && views.len() < 2 {
        return Vec::new();
    }
    views
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

/// The places of poses and sweeps in the sheet's own list, before any is filtered out.
fn listed(sheet: &ListSheet, list: &PoseList) -> [Vec<usize>; 2] {
    let named = sheet.poses.is_some() || sheet.sweeps.is_some();
    let [poses, sweeps] = sheet.kind.shows();
    let all = [
        (poses, &sheet.poses, list.poses.len()),
        (sweeps, &sheet.sweeps, list.sweeps.len()),
    ];
    all.map(|(shown, own, all)| match own {
        Some(own) if shown => own.clone(),
        None if shown && !named => (0..all).collect(),
        _ => Vec::new(),
    })
}
