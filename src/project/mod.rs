//! A show as a program uses it: files in, figures and findings out.

mod error;
mod posing;
mod reading;

use std::path::Path;
use std::sync::{Arc, OnceLock};

pub use error::{AskError, Named, ProjectError};
pub use posing::Posing;
pub use reading::{Reading, Roster, Subject};

use crate::art::Library;
use crate::cast::{Member, Pose, PoseList};
use crate::check::{self, Findings};
use crate::diag::{Problem, Problems, Sources, nearest};
use crate::files::Files;
use crate::solve::Puppet;

/// A cast, or one member, read whole with its pose lists.
#[derive(Clone, Debug)]
pub struct Project {
    name: Option<String>,
    members: Vec<ProjectMember>,
    warnings: Vec<Problem>,
    sources: Arc<Sources>,
}

/// A member of a [`Project`]. Cheap to clone.
#[derive(Clone, Debug)]
pub struct ProjectMember(Arc<Entry>);

#[derive(Debug)]
struct Entry {
    subject: Subject,
    /// For each view, once it is asked for.
    puppets: Vec<OnceLock<Puppet>>,
    sources: Arc<Sources>,
}

/// What was found on one view.
#[derive(Clone, Debug)]
pub struct CheckedView {
    /// What the member is called.
    pub member: String,
    /// What the view is called; empty where it has no name.
    pub view: String,
    /// What was found.
    pub findings: Findings,
}

impl Project {
    /// Reads the `cast.toml` at the top of these files, or where there is none the `rig.toml`.
    ///
    /// # Errors
    ///
    /// When any file has an error: all that is wrong, each with its place.
    pub fn open(files: Files) -> Result<Self, ProjectError> {
        let cast = files.is_file("cast.toml");
        Self::open_at(files, if cast { "cast.toml" } else { "rig.toml" })
    }

    /// Reads a cast file, a rig, or the folder of one.
    ///
    /// # Errors
    ///
    /// When any file has an error: all that is wrong, each with its place.
    pub fn open_at(files: Files, path: impl AsRef<Path>) -> Result<Self, ProjectError> {
        let path = path.as_ref();
        let (mut sources, mut problems) = (Sources::of(files), Problems::default());
        let read = Reading::default();
        let (name, subjects) = read.all(&[path], &mut sources, &mut problems, &mut Vec::new());
        let sources = Arc::new(sources);
        if !problems.is_ok() {
            return Err(ProjectError::new(problems, sources));
        }
        let members = subjects.into_iter().map(|subject| {
            ProjectMember(Arc::new(Entry {
                puppets: subject
                    .member
                    .views
                    .iter()
                    .map(|_| OnceLock::new())
                    .collect(),
                subject,
                sources: Arc::clone(&sources),
            }))
        });
        Ok(Self {
            name,
            members: members.collect(),
            warnings: problems.list().to_vec(),
            sources,
        })
    }

    /// What the show is called; `None` for a single member.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// All members, in the order of the cast.
    #[must_use]
    pub fn members(&self) -> &[ProjectMember] {
        &self.members
    }

    /// The member of this name.
    ///
    /// # Errors
    ///
    /// When there is none.
    pub fn member(&self, name: &str) -> Result<ProjectMember, AskError> {
        let found = self.members.iter().find(|member| member.key() == name);
        let known = self.members.iter().map(ProjectMember::key);
        found
            .cloned()
            .ok_or_else(|| unknown(Named::Member, name, known))
    }

    /// What is probably not meant in its files, with places.
    #[must_use]
    pub fn warnings(&self) -> &[Problem] {
        &self.warnings
    }

    /// The files that were read.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// Checks every view of every member, with the poses of its lists.
    #[must_use]
    pub fn check(&self) -> Vec<CheckedView> {
        let views = |member: &ProjectMember| {
            let all = 0..member.rig().views.len();
            all.map(|at| member.checked(at)).collect::<Vec<_>>()
        };
        self.members.iter().flat_map(views).collect()
    }
}

impl ProjectMember {
    /// What files and commands call it.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.0.subject.member.key
    }

    /// Everything that its files say.
    #[must_use]
    pub fn rig(&self) -> &Member {
        &self.0.subject.member
    }

    /// Its drawings.
    #[must_use]
    pub fn library(&self) -> &Library {
        &self.0.subject.library
    }

    /// Its pose lists.
    #[must_use]
    pub fn lists(&self) -> &[Arc<PoseList>] {
        &self.0.subject.lists
    }

    /// What its views are called; empty for the view of a member that has only one and does not name it.
    pub fn views(&self) -> impl Iterator<Item = &str> {
        let views = self.0.subject.member.views.iter();
        views.map(|view| view.name.as_deref().unwrap_or_default())
    }

    /// The poses of its lists and of their sweeps, each as `list/pose`.
    pub fn poses(&self) -> impl Iterator<Item = (String, &Pose)> {
        self.0.subject.lists.iter().flat_map(|list| {
            let all = list.all();
            all.map(|pose| (format!("{}/{}", list.key, pose.name), pose))
        })
    }

    /// A pose that starts at rest.
    #[must_use]
    pub fn pose(&self) -> Posing {
        self.posed(Pose::rest())
    }

    /// A pose that starts from one of its lists, `haul` or `deckhand/haul`.
    ///
    /// # Errors
    ///
    /// When there is none.
    pub fn pose_named(&self, name: &str) -> Result<Posing, AskError> {
        let mut all = self.poses();
        let found = all.find(|(whole, pose)| pose.name == name || whole == name);
        if let Some((_, pose)) = found {
            return Ok(self.posed(pose.clone()));
        }
        let known = self.poses().map(|(_, pose)| pose.name.as_str());
        Err(unknown(Named::Pose, name, known))
    }

    /// A pose that starts from any other.
    #[must_use]
    pub fn posed(&self, pose: Pose) -> Posing {
        Posing::new(self.clone(), pose)
    }

    /// A view, prepared for all poses.
    ///
    /// # Errors
    ///
    /// When there is no such view.
    pub fn puppet(&self, view: &str) -> Result<&Puppet, AskError> {
        Ok(self.puppet_at(self.view(view)?))
    }

    /// Checks a view, with the poses of its lists.
    ///
    /// # Errors
    ///
    /// When there is no such view.
    pub fn check(&self, view: &str) -> Result<CheckedView, AskError> {
        Ok(self.checked(self.view(view)?))
    }

    fn checked(&self, view: usize) -> CheckedView {
        let lists: Vec<&PoseList> = self.lists().iter().map(|list| &**list).collect();
        CheckedView {
            member: self.key().to_owned(),
            view: self.rig().views[view].name.clone().unwrap_or_default(),
            findings: check::check(self.puppet_at(view), &lists),
        }
    }

    fn view(&self, name: &str) -> Result<usize, AskError> {
        let found = self.views().position(|known| known == name);
        found.ok_or_else(|| unknown(Named::View, name, self.views()))
    }

    fn puppet_at(&self, view: usize) -> &Puppet {
        let own = &self.0.subject;
        self.0.puppets[view].get_or_init(|| own.puppet(view))
    }

    fn sources(&self) -> &Arc<Sources> {
        &self.0.sources
    }
}

fn unknown<'a>(what: Named, name: &str, known: impl IntoIterator<Item = &'a str>) -> AskError {
    AskError::Unknown {
        what,
        name: name.to_owned(),
        nearest: nearest(name, known).map(str::to_owned),
    }
}
