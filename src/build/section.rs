//! What lies in one folder, or on one sheet: a pose list for one view of one member.

use std::path::PathBuf;
use std::sync::Arc;

use crate::art::Library;
use crate::cast::{ListSheet, Member, Pose, PoseList, SheetKind, Sweep, View};
use crate::files::file_name;
use crate::name::Name;
use crate::project::Subject;
use crate::solve::Puppet;

/// One view of one member.
#[derive(Clone, Debug)]
pub struct MemberView {
    /// Who.
    pub member: Arc<Member>,
    /// The member's drawings.
    pub library: Arc<Library>,
    /// Which of the member's views.
    pub view: usize,
}

impl MemberView {
    /// Of a member this view.
    #[must_use]
    pub fn new(subject: &Subject, view: usize) -> Self {
        Self {
            member: Arc::clone(&subject.member),
            library: Arc::clone(&subject.library),
            view,
        }
    }

    /// The view.
    #[must_use]
    pub fn view(&self) -> &View {
        &self.member.views[self.view]
    }

    /// The view's name, where it has one.
    #[must_use]
    pub fn view_name(&self) -> Option<&str> {
        self.view().name.as_deref()
    }

    /// Prepared for all poses.
    #[must_use]
    pub fn puppet(&self) -> Puppet {
        Puppet::new(Arc::clone(&self.member), self.view, &self.library)
            .expect("a view with its own drawings")
    }

    /// What it is called where nothing else is told: `member`, or `member/view`.
    #[must_use]
    pub fn name(&self) -> Name {
        Name::new(&self.member.key, self.view_name())
    }

    /// The folder of its files, below that of everything.
    #[must_use]
    pub fn folder(&self) -> PathBuf {
        let mut folder = PathBuf::from(file_name(&self.member.key));
        folder.extend(self.view_name().map(file_name));
        folder
    }
}

/// Some steps of a sweep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChosenSweep {
    /// Its place in the list.
    pub sweep: usize,
    /// Places of its poses.
    pub poses: Vec<usize>,
}

/// What a section is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Purpose {
    /// A pose list.
    #[default]
    List,
    /// Poses that a kind of sheet shows; no file says them.
    Sheet(SheetKind),
    /// A sheet that a pose list asks for: the only one of the section's own list.
    Declared,
}

/// One pose list for one view of one member: what lies in one folder, or on one sheet.
#[derive(Clone, Debug)]
pub struct Section {
    /// Whose view, by place in the plan.
    pub model: usize,
    /// The list.
    pub list: Arc<PoseList>,
    /// Places of the chosen poses.
    pub poses: Vec<usize>,
    /// The chosen sweeps.
    pub sweeps: Vec<ChosenSweep>,
    /// Of the list, or of the sheet that it is for.
    pub name: Name,
    /// The same as a path of safe file names.
    pub folder: PathBuf,
    /// What it is for.
    pub purpose: Purpose,
}

impl Section {
    /// The sheet that the section is for, where a list asks for it.
    #[must_use]
    pub fn declared(&self) -> Option<&ListSheet> {
        let declared = self.purpose == Purpose::Declared;
        self.list.sheets.first().filter(|_| declared)
    }

    /// The kind of sheet that it is for; `None` for a list as it is.
    #[must_use]
    pub fn kind(&self) -> Option<SheetKind> {
        match self.purpose {
            Purpose::List => None,
            Purpose::Sheet(kind) => Some(kind),
            Purpose::Declared => self.list.sheets.first().map(|sheet| sheet.kind),
        }
    }

    /// True where a kind of sheet has something to show of the list as it is.
    pub(super) fn suits(&self, kind: SheetKind) -> bool {
        let mut sweeps = self.sweeps.iter().map(|sweep| sweep.poses.len());
        match kind {
            SheetKind::Pose => !self.poses.is_empty(),
            SheetKind::Range => sweeps.len() > 0,
            _ => self.poses.len() > 1 || sweeps.any(|steps| steps > 1),
        }
    }

    /// The chosen poses of the list.
    pub fn poses(&self) -> impl Iterator<Item = &Pose> {
        self.poses.iter().map(|&at| &self.list.poses[at])
    }

    /// The chosen sweeps, each with its chosen poses.
    pub fn sweeps(&self) -> impl Iterator<Item = (&Sweep, Vec<&Pose>)> {
        self.sweeps.iter().map(|chosen| {
            let sweep = &self.list.sweeps[chosen.sweep];
            (
                sweep,
                chosen.poses.iter().map(|&at| &sweep.poses[at]).collect(),
            )
        })
    }

    /// All chosen poses, those of the sweeps last.
    #[must_use]
    pub fn all_poses(&self) -> Vec<&Pose> {
        let mut all: Vec<&Pose> = self.poses().collect();
        for (_, poses) in self.sweeps() {
            all.extend(poses);
        }
        all
    }
}
