//! A demo member's poses as the command line would plan them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use layfig::art::Library;
use layfig::build::{Choice, Job, Only, Plan, Views, puppets};
use layfig::cast::{Pose, PoseList, load_member, load_poses};
use layfig::diag::{Problems, Sources};
use layfig::project::Subject;
use layfig::solve::Puppet;

/// A plan and its puppets.
pub struct Show {
    pub plan: Plan,
    pub puppets: Vec<Puppet>,
}

impl Show {
    /// Reads the deckhand and picks `count` poses: those with names, then sweep poses from evenly
    /// all over the list; over again under other names where that is not enough.
    pub fn deckhand(count: usize) -> Self {
        let folder = rigs().join("deckhand");
        let (mut sources, mut problems, mut library) =
            (Sources::default(), Problems::default(), Library::new());
        let member = load_member(&folder, &mut sources, &mut problems, &mut library);
        let member = Arc::new(member.expect("the deckhand is read"));
        let path = &member.poses[0];
        let list = load_poses(path, &member, &mut sources, &mut problems).expect("poses are read");
        let subject = Subject {
            member,
            library: Arc::new(library),
            lists: vec![Arc::new(PoseList {
                poses: picked(&list, count),
                sweeps: Vec::new(),
                ..list.clone()
            })],
        };
        let choice = Choice {
            views: Views::First,
            only: Only::Poses,
            poses: Vec::new(),
        };
        let (plan, problems) = Plan::new(&[subject], &choice);
        assert!(problems.is_empty(), "{problems:?}");
        let puppets = puppets(&plan);
        Self { plan, puppets }
    }

    /// The poses to draw.
    pub fn jobs(&self) -> Vec<Job<'_>> {
        self.plan.jobs()
    }
}

fn picked(list: &PoseList, count: usize) -> Vec<Pose> {
    let steps: Vec<&Pose> = list.sweeps.iter().flat_map(|s| &s.poses).collect();
    let mut out: Vec<Pose> = list.poses.iter().take(count).cloned().collect();
    let more = (count - out.len()).min(steps.len());
    out.extend((0..more).map(|i| steps[i * steps.len() / more].clone()));
    let different = out.len();
    for again in different..count {
        let mut pose = out[again % different].clone();
        pose.name = format!("{}.{}", pose.name, again / different);
        out.push(pose);
    }
    out
}

/// The demo rigs.
pub fn rigs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rigs")
}

/// A fresh folder that is gone when this is dropped.
pub fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder to work in")
}
