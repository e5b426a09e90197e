//! The units of a night: all that a cast asks for, each with the digest of what it depends on.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::digest::{Digest, Stamp};
use super::reading::ReadMember;
use super::store::{Known, Measured};
use super::unit::Key;
use crate::build::{
    self, Choice, Only, Pages, PictureStyle, Plan, Purpose, SheetGroup, Views, comparison_folder,
};
use crate::cast::SheetKind;
use crate::diag::Problem;
use crate::files::file_name;
use crate::name::Name;

/// What pictures and pages look like, and what they are compared with.
#[derive(Clone, Debug)]
pub struct Style {
    /// Of the pictures.
    pub picture: PictureStyle,
    /// Of the sheets.
    pub pages: Pages,
    /// Folder of approved sets, one folder in it for each member; else `approved` beside each rig.
    pub approved: Option<PathBuf>,
    /// Read all files of approved sets, to see that they are what was approved.
    pub verify: bool,
}

/// What a unit has to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Task {
    /// The picture of a pose, by its place in the section.
    Picture {
        /// By place in the plan.
        section: usize,
        /// By place among the section's chosen poses.
        pose: usize,
    },
    /// Sheets of a kind.
    Sheet(SheetGroup),
    /// A check of a view, by place among the models.
    Check(usize),
    /// A member's poses against its approved set, by place among the members.
    Comparison(usize),
}

/// A unit of work.
#[derive(Clone, Debug)]
pub struct Unit {
    /// What it is called.
    pub key: Key,
    /// Of what it depends on.
    pub inputs: Digest,
    /// What it has to do.
    pub task: Task,
    /// The views that it shows, by place among the models.
    pub models: Vec<usize>,
    /// The member that it is about, by place; `None` where it is about all.
    pub member: Option<usize>,
    /// What it will take, roughly, microseconds.
    pub guess: f64,
}

/// Everything a cast asks for.
#[derive(Debug)]
pub struct Night {
    /// The show's name.
    pub cast: String,
    /// Its members as far as they could be read.
    pub members: Vec<ReadMember>,
    /// Views and lists.
    pub plan: Plan,
    /// For each model of the plan its member's place.
    pub owners: Vec<usize>,
    /// What pictures and pages look like.
    pub style: Style,
    /// In the order they are told of.
    pub units: Vec<Unit>,
    /// Members, lists, poses and sweeps that cannot be made, and why.
    pub unread: Vec<(Name, String)>,
}

impl Night {
    /// Plans all views, poses, sweeps and sheets of these members, their checks and comparisons.
    #[must_use]
    pub fn new(cast: String, mut members: Vec<ReadMember>, style: Style) -> Self {
        let subjects: Vec<_> = members.iter().filter_map(|m| m.subject.clone()).collect();
        let choice = Choice {
            views: Views::All,
            only: Only::All,
            poses: Vec::new(),
        };
        let (mut plan, _) = Plan::new(&subjects, &choice);
        let others = SheetKind::ALL.into_iter().filter(|kind| !kind.is_of_list());
        plan.add_kinds(&subjects, &others.collect::<Vec<_>>(), true, &choice);
        plan.add_declared(&subjects, &[], &choice);
        let mut unread: Vec<(Name, String)> = members
            .iter_mut()
            .flat_map(|m| std::mem::take(&mut m.unread))
            .collect();
        unread.append(&mut plan.left_out);
        let by_key: BTreeMap<&str, usize> = members
            .iter()
            .enumerate()
            .map(|(at, m)| (m.key.as_str(), at))
            .collect();
        let owners: Vec<usize> = plan
            .models
            .iter()
            .map(|model| by_key[model.member.key.as_str()])
            .collect();
        let mut night = Self {
            cast,
            members,
            plan,
            owners,
            style,
            units: Vec::new(),
            unread,
        };
        night.units = night.all_units();
        night
    }

    /// Of all that is asked for: what tells one night's inputs from another's.
    #[must_use]
    pub fn inputs(&self) -> Digest {
        let mut stamp = Stamp::new("night");
        for unit in &self.units {
            stamp.text(&unit.key.to_string());
            stamp.digest(&unit.inputs);
        }
        stamp.count(self.unread.len());
        for (name, why) in &self.unread {
            stamp.text(&name.to_string());
            stamp.text(why);
        }
        stamp.done()
    }

    /// Problems for every two units that would write the same file.
    #[must_use]
    pub fn clashes(&self) -> Vec<Problem> {
        let units = self.units.iter();
        let files = units.map(|unit| (unit.key.to_string(), vec![self.file(unit)]));
        build::clashes(&files.collect::<Vec<_>>())
    }

    /// The file of a unit, below the output folder, or the one that leads to its others; of a sheet
    /// what its pages would be called if it had but one.
    #[must_use]
    pub fn file(&self, unit: &Unit) -> PathBuf {
        match &unit.task {
            Task::Picture { section, pose } => {
                let section = &self.plan.sections[*section];
                let pose = &section.list.poses[section.poses[*pose]];
                let file = format!("{}.png", file_name(&pose.name));
                section.folder.join(file)
            }
            Task::Sheet(group) => {
                let (folder, stem, ending) = self.plan.sheet_place(group);
                folder.join(format!("{stem}.{ending}.png"))
            }
            Task::Check(model) => {
                let folder = self.plan.models[*model].folder();
                folder.join("check").join("findings.json")
            }
            Task::Comparison(member) => {
                let member = &self.members[*member].key;
                comparison_folder(Path::new(""), member).join("comparison.json")
            }
        }
    }

    /// The model of the plan that most of a unit's work is with, by place.
    #[must_use]
    pub fn model(&self, unit: &Unit) -> usize {
        unit.models.first().copied().unwrap_or(0)
    }

    /// The models of a member, by place in the plan.
    #[must_use]
    pub fn models_of(&self, member: usize) -> Vec<usize> {
        let all = 0..self.plan.models.len();
        all.filter(|&at| self.owners[at] == member).collect()
    }

    /// A plan of these sections alone, and which of the night's models its models are.
    #[must_use]
    pub fn alone(&self, sections: &[usize]) -> (Plan, Vec<usize>) {
        let used = sections.iter().map(|&at| self.plan.sections[at].model);
        let models: Vec<usize> = used.collect::<BTreeSet<usize>>().into_iter().collect();
        let place = |model: usize| models.iter().position(|&m| m == model).unwrap_or(0);
        let plan = Plan {
            models: models
                .iter()
                .map(|&m| self.plan.models[m].clone())
                .collect(),
            sections: sections
                .iter()
                .map(|&at| {
                    let mut section = self.plan.sections[at].clone();
                    section.model = place(section.model);
                    section
                })
                .collect(),
            left_out: Vec::new(),
        };
        (plan, models)
    }

    /// The sections of a model that show a pose list as it is.
    pub fn lists_of(&self, model: usize) -> impl Iterator<Item = usize> {
        let sections = self.plan.sections.iter().enumerate();
        sections
            .filter(move |(_, s)| s.model == model && s.purpose == Purpose::List)
            .map(|(at, _)| at)
    }

    /// Makes guesses what was measured.
    pub fn weigh(&mut self, measured: &BTreeMap<Key, Measured>) {
        for unit in &mut self.units {
            if let Some(it) = measured.get(&unit.key) {
                unit.guess = it.us as f64;
            }
        }
    }

    /// For each unit whether what is known of it still holds.
    #[must_use]
    pub fn fresh(&self, known: &BTreeMap<Key, Known>, out: &Path, verify: bool) -> Vec<bool> {
        use rayon::prelude::*;
        self.units
            .par_iter()
            .map(|unit| {
                known.get(&unit.key).is_some_and(|known| {
                    known.record.inputs == unit.inputs && known.is_sound(out, verify)
                })
            })
            .collect()
    }
}
