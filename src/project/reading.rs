//! Files of a show read. What has errors is told and left out, and the rest is read without it.

use std::collections::HashSet;
use std::mem::discriminant;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::art::Library;
use crate::cast::{self, Leads, Member, PoseList};
use crate::diag::{Place, Problem, Problems, Sources, nearest, quoted};
use crate::name::Name;
use crate::pose::{self, Told};
use crate::solve::Puppet;

/// A member and the pose lists to show it in.
#[derive(Clone, Debug)]
pub struct Subject {
    /// Who.
    pub member: Arc<Member>,
    /// The member's drawings.
    pub library: Arc<Library>,
    /// In what.
    pub lists: Vec<Arc<PoseList>>,
}

impl Subject {
    /// One of its views, prepared for all poses.
    ///
    /// # Panics
    ///
    /// When it has no such view.
    #[must_use]
    pub fn puppet(&self, view: usize) -> Puppet {
        Puppet::new(Arc::clone(&self.member), view, &self.library)
            .expect("a view with its own drawings")
    }
}

/// What a path to read names: rigs, each under the name that a cast has for it.
#[derive(Debug, Default)]
pub struct Roster {
    /// What the cast is called; `None` for a single member.
    pub cast: Option<String>,
    /// Where the rigs are.
    pub rigs: Vec<(Option<String>, PathBuf)>,
    /// Members whose entries have errors, and why they are left out.
    pub unread: Vec<(Name, String)>,
}

impl Roster {
    /// Of a cast file, a rig, the folder of one, or a folder of rigs' folders.
    #[must_use]
    pub fn read(path: &Path, sources: &mut Sources, problems: &mut Problems) -> Self {
        let rigs = match cast::leads_to(sources.files(), path) {
            Leads::Cast => Vec::new(),
            Leads::Rigs => cast::rigs_in(sources.files(), path),
            Leads::Rig | Leads::Elsewhere => vec![path.to_path_buf()],
        };
        if !rigs.is_empty() {
            return Self {
                rigs: rigs.into_iter().map(|rig| (None, rig)).collect(),
                ..Self::default()
            };
        }
        let Some(cast) = cast::load_cast(path, sources, problems) else {
            return Self::default();
        };
        let why = "its entry in the cast has errors";
        let left_out = cast.left_out.into_iter();
        let members = cast.members.into_iter();
        Self {
            cast: Some(cast.name),
            rigs: members.map(|m| (Some(m.key), m.rig)).collect(),
            unread: left_out
                .map(|name| (Name::new(name, None), why.to_owned()))
                .collect(),
        }
    }
}

/// How members are read.
#[derive(Clone, Copy, Debug, Default)]
pub struct Reading<'a> {
    /// Pose lists in place of those that the rig names.
    pub lists: &'a [PathBuf],
    /// A palette in place of those that the poses name.
    pub palette: Option<&'a str>,
    /// What to do about a member without pose lists; `None` where that is no matter.
    pub hint: Option<&'a str>,
}

impl Reading<'_> {
    /// Reads one member. What cannot be read goes to `unread`, with the reason.
    pub fn member(
        &self,
        (key, rig): &(Option<String>, PathBuf),
        sources: &mut Sources,
        problems: &mut Problems,
        unread: &mut Vec<(Name, String)>,
    ) -> Option<Subject> {
        let mut leave_out = |name: Name, why: &str| unread.push((name, why.to_owned()));
        let mut library = Library::new();
        let Some(mut member) = cast::load_member(rig, sources, problems, &mut library) else {
            let name = || cast::member_key(sources.files(), rig);
            let name = key.clone().unwrap_or_else(name);
            leave_out(Name::new(name, None), "its files have errors");
            return None;
        };
        if let Some(key) = key {
            member.key.clone_from(key);
        }
        let own = Name::new(&member.key, None);
        let palette = match self.palette.map(|name| palette(&member, name)).transpose() {
            Ok(palette) => palette,
            Err(problem) => {
                problems.push(problem);
                leave_out(own, "it lacks the palette");
                return None;
            }
        };
        let mut paths = self.lists.to_vec();
        if paths.is_empty() {
            let named = member.poses.iter();
            paths.extend(named.map(|path| sources.files().plain(path)));
        }
        if let (true, Some(hint)) = (paths.is_empty(), self.hint) {
            let problem = Problem::warning(&**rig, format!("{} names no pose lists", member.key));
            problems.push(problem.hint(hint));
        }
        let mut lists = Vec::new();
        for path in &paths {
            let Some(mut list) = cast::load_poses(path, &member, sources, problems) else {
                let list = path.file_stem().unwrap_or_default().to_string_lossy();
                leave_out(own.list(list), "nothing in the list can be used");
                continue;
            };
            cast::find_elements(&mut list, &member, &mut library, sources, problems);
            tell(&list, &member, problems);
            if let Some(palette) = palette {
                let sweeps = list.sweeps.iter_mut().flat_map(|s| &mut s.poses);
                for pose in list.poses.iter_mut().chain(sweeps) {
                    pose.palette = palette;
                    pose.views.iter_mut().for_each(|one| one.palette = None);
                }
                for sheet in &mut list.sheets {
                    sheet.palette = Some(palette);
                }
            }
            lists.push(Arc::new(list));
        }
        Some(Subject {
            member: Arc::new(member),
            library: Arc::new(library),
            lists,
        })
    }

    /// Reads all that paths name, one after the other, and what the cast is called where one path names it.
    pub fn all(
        &self,
        paths: &[impl AsRef<Path>],
        sources: &mut Sources,
        problems: &mut Problems,
        unread: &mut Vec<(Name, String)>,
    ) -> (Option<String>, Vec<Subject>) {
        let (mut casts, mut subjects) = (Vec::new(), Vec::new());
        for path in paths {
            let mut roster = Roster::read(path.as_ref(), sources, problems);
            unread.append(&mut roster.unread);
            casts.push(roster.cast);
            let rigs = roster.rigs.iter();
            subjects.extend(rigs.filter_map(|rig| self.member(rig, sources, problems, unread)));
        }
        let cast = if casts.len() == 1 { casts.pop() } else { None };
        (cast.flatten(), subjects)
    }
}

/// Tells what solving the poses of a list comes upon.
fn tell(list: &PoseList, member: &Member, problems: &mut Problems) {
    let mut told = HashSet::new();
    for pose in list.all().filter(|pose| !pose.is_plain()) {
        for (at, view) in member.views.iter().enumerate() {
            for note in pose::solved(pose, view).notes {
                let circle = matches!(note.told, Told::Circle(_));
                let of = (note.span, (!circle).then_some(at), discriminant(&note.told));
                // What other poses take over, and a sweep's, is told once.
                if note.span.is_none() || told.insert(of) {
                    problems.push(note.problem(member, view, pose));
                }
            }
        }
    }
}

fn palette(member: &Member, name: &str) -> Result<usize, Problem> {
    let found = member.palettes.iter().position(|p| p.name == name);
    found.ok_or_else(|| {
        let names: Vec<&str> = member.palettes.iter().map(|p| p.name.as_str()).collect();
        let hint = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None if names.is_empty() => "its rig declares no palettes".to_owned(),
            None => format!("there are {}", names.join(", ")),
        };
        let message = format!("{} has no palette {}", member.key, quoted(name));
        Problem::error(Place::Nowhere, message).hint(hint)
    })
}
