//! What to make, for whom, under which names.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::build::choice::{Choice, Only, chosen_views, unmatched, unmatched_views};
use crate::build::filter::Filter;
use crate::build::section::{ChosenSweep, MemberView, Purpose, Section};
use crate::cast::{Pose, PoseList};
use crate::diag::{Place, Problem, quoted};
use crate::files::{file_name, folded};
use crate::name::Name;
use crate::project::Subject;

/// One pose to draw.
#[derive(Clone, Debug)]
pub struct Job<'a> {
    /// Whose view, by place in the plan.
    pub model: usize,
    /// The section, by place in the plan.
    pub section: usize,
    /// The pose.
    pub pose: &'a Pose,
    /// What it is called.
    pub name: Name,
}

impl Job<'_> {
    /// The file for this pose in the folder `out`, with an ending such as `.png`.
    #[must_use]
    pub fn file(&self, plan: &Plan, out: &Path, ending: &str) -> PathBuf {
        let mut path = out.join(&plan.sections[self.section].folder);
        path.push(format!("{}{ending}", file_name(&self.pose.name)));
        path
    }
}

/// What to make.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// Every view of every member that something is made of.
    pub models: Vec<MemberView>,
    /// In the order of the input.
    pub sections: Vec<Section>,
    /// The chosen poses and sweeps that lists left out because of errors, by printed name, and why.
    pub left_out: Vec<(Name, String)>,
}

impl Plan {
    /// Takes what `choice` says of the subjects. A filter that finds nothing is a problem.
    #[must_use]
    pub fn new(subjects: &[Subject], choice: &Choice) -> (Self, Vec<Problem>) {
        let mut plan = Self::default();
        let mut used = vec![false; choice.poses.len()];
        let mut names: Vec<String> = Vec::new();
        for subject in subjects {
            for view in chosen_views(&subject.member, &choice.views) {
                let model = MemberView::new(subject, view);
                let at = plan.models.len();
                for list in &subject.lists {
                    let list = &list.in_view(model.view_name());
                    let (section, left_out) = take(at, &model, list, choice, &mut used, &mut names);
                    plan.left_out.extend(left_out);
                    if !section.poses.is_empty() || !section.sweeps.is_empty() {
                        plan.sections.push(section);
                    }
                }
                if plan.sections.last().is_some_and(|s| s.model == at) {
                    plan.models.push(model);
                }
            }
        }
        let mut problems = unmatched_views(subjects, &choice.views);
        if problems.is_empty() {
            for (filter, used) in choice.poses.iter().zip(used) {
                if !used {
                    problems.push(unmatched("pose", filter, names.iter().map(String::as_str)));
                }
            }
        }
        (plan, problems)
    }

    /// Adds the chosen views that no list shows.
    pub fn add_views(&mut self, subjects: &[Subject], choice: &Choice) {
        for subject in subjects {
            for view in chosen_views(&subject.member, &choice.views) {
                self.model(subject, view);
            }
        }
    }

    /// The view's place among the models, which it comes to if need be.
    pub(super) fn model(&mut self, subject: &Subject, view: usize) -> usize {
        let same = |m: &MemberView| m.view == view && Arc::ptr_eq(&m.member, &subject.member);
        self.models.iter().position(same).unwrap_or_else(|| {
            self.models.push(MemberView::new(subject, view));
            self.models.len() - 1
        })
    }

    /// Every pose to draw, in order.
    #[must_use]
    pub fn jobs(&self) -> Vec<Job<'_>> {
        let mut jobs = Vec::new();
        for (at, section) in self.sections.iter().enumerate() {
            for pose in section.all_poses() {
                let name = section.name.pose(&pose.name);
                jobs.push(Job {
                    model: section.model,
                    section: at,
                    pose,
                    name,
                });
            }
        }
        jobs
    }
}

fn take(
    at: usize,
    model: &MemberView,
    list: &Arc<PoseList>,
    choice: &Choice,
    used: &mut [bool],
    names: &mut Vec<String>,
) -> (Section, Vec<(Name, String)>) {
    let folder = model.folder().join(file_name(&list.key));
    let name = model.name().list(&list.key);
    let mut named = |one: &String| names.push(name.pose(one).to_string());
    if choice.only != Only::Sweeps {
        list.poses.iter().for_each(|pose| named(&pose.name));
    }
    if choice.only != Only::Poses {
        list.sweeps.iter().for_each(|sweep| named(&sweep.name));
    }
    let mut wanted = |names_of_one: &[&str]| {
        let mut mark = |one: &&str| Filter::mark(&choice.poses, used, &name.pose(*one).to_string());
        // All are tried: each may use another filter.
        choice.poses.is_empty() | (names_of_one.iter().filter(|one| mark(one)).count() > 0)
    };
    let both = [list.poses.len(), list.sweeps.len()].map(|count| (0..count).collect());
    let (poses, sweeps) = chosen(list, both, choice.only, &mut wanted);
    let left_out = list.left_out.iter().filter(|entry| {
        let sort = if entry.sweep {
            Only::Poses
        } else {
            Only::Sweeps
        };
        choice.only != sort && wanted(&[&entry.name])
    });
    let left_out = left_out
        .map(|entry| {
            let why = match &entry.base {
                Some(base) => format!("{}, which it inherits from, has errors", quoted(base)),
                None => "it has errors".to_owned(),
            };
            (name.pose(&entry.name), why)
        })
        .collect();
    let section = Section {
        model: at,
        list: Arc::clone(list),
        poses,
        sweeps,
        name,
        folder,
        purpose: Purpose::List,
    };
    (section, left_out)
}

/// What is wanted of these poses and sweeps of a list, by place. The name of a sweep finds all its poses.
pub(super) fn chosen(
    list: &PoseList,
    [poses, sweeps]: [Vec<usize>; 2],
    only: Only,
    wanted: &mut dyn FnMut(&[&str]) -> bool,
) -> (Vec<usize>, Vec<ChosenSweep>) {
    let mut chosen = (poses, Vec::new());
    let posed = only != Only::Sweeps;
    chosen
        .0
        .retain(|&at| posed && wanted(&[&list.poses[at].name]));
    for at in sweeps.into_iter().filter(|_| only != Only::Poses) {
        let sweep = &list.sweeps[at];
        let steps = sweep.poses.iter().enumerate();
        let steps = steps.filter(|(_, pose)| wanted(&[&sweep.name, &pose.name]));
        let poses: Vec<usize> = steps.map(|(at, _)| at).collect();
        if !poses.is_empty() {
            chosen.1.push(ChosenSweep { sweep: at, poses });
        }
    }
    chosen
}

/// Problems for every two jobs that would write the same file, also where file systems ignore
/// case. Each job comes with its name and its files.
#[must_use]
pub fn clashes(jobs: &[(String, Vec<PathBuf>)]) -> Vec<Problem> {
    let mut owners: BTreeMap<PathBuf, (&str, &Path)> = BTreeMap::new();
    let mut problems = Vec::new();
    for (name, files) in jobs {
        for file in files {
            match owners.entry(folded(file)) {
                std::collections::btree_map::Entry::Vacant(free) => {
                    free.insert((name, file));
                }
                std::collections::btree_map::Entry::Occupied(taken) => {
                    let (other, theirs) = *taken.get();
                    let message = format!("{other} and {name} would write the same file");
                    let hint = if theirs == file.as_path() {
                        "give one of them another name".to_owned()
                    } else {
                        format!(
                            "file systems that ignore case take it for {}: give one of them another name",
                            theirs.display()
                        )
                    };
                    problems.push(Problem::error(Place::File(file.clone()), message).hint(hint));
                }
            }
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::super::choice::Views;
    use super::super::filter::Filter;
    use super::*;
    use crate::art::Library;
    use crate::cast::{Member, Sweep, View};
    use crate::diag::{SourceId, Span};

    const SPAN: Span = Span {
        source: SourceId(0),
        start: 0,
        end: 0,
    };

    fn pose(name: &str) -> Pose {
        Pose {
            name: name.into(),
            ..Pose::rest()
        }
    }

    /// A list's name, its poses, its sweeps with their poses.
    type ListOf<'a> = (&'a str, &'a [&'a str], &'a [(&'a str, &'a [&'a str])]);

    fn subject(key: &str, views: &[Option<&str>], lists: &[ListOf<'_>]) -> Subject {
        let view = |name: &Option<&str>| View {
            name: name.map(str::to_owned),
            drawing: None,
            ground: None,
            facing: None,
            shortest: 0.0,
            parts: vec![],
            seams: vec![],
            masks: vec![],
            garments: vec![],
            guides: crate::cast::Guides::default(),
            check: Default::default(),
            check_parts: Vec::new(),
            by_name: vec![],
        };
        let member = Member {
            name: key.to_uppercase(),
            key: key.into(),
            folder: key.into(),
            canvas: [100.0, 100.0],
            grow: false,
            near: None,
            ground: None,
            crown: None,
            heads: None,
            height: None,
            drift: 0.01,
            compare: crate::cast::CompareSettings::default(),
            poses: vec![],
            palettes: vec![],
            drawn: crate::cast::Palette {
                name: "drawn".into(),
                swatches: Default::default(),
            },
            names: vec![],
            allowed: Vec::new(),
            lint: Default::default(),
            expressions: Default::default(),
            views: views.iter().map(view).collect(),
        };
        let lists = lists
            .iter()
            .map(|(key, poses, sweeps)| {
                Arc::new(PoseList {
                    key: (*key).into(),
                    path: format!("{key}.toml").into(),
                    poses: poses.iter().map(|n| pose(n)).collect(),
                    sweeps: sweeps
                        .iter()
                        .map(|(name, steps)| Sweep {
                            name: (*name).into(),
                            span: SPAN,
                            note: None,
                            axes: vec![],
                            poses: steps.iter().map(|n| pose(n)).collect(),
                        })
                        .collect(),
                    ..PoseList::default()
                })
            })
            .collect();
        Subject {
            member: Arc::new(member),
            library: Arc::new(Library::new()),
            lists,
        }
    }

    fn cast() -> Vec<Subject> {
        vec![
            subject(
                "mate",
                &[None],
                &[
                    (
                        "actions",
                        &["rest", "haul"],
                        &[("elbow", &["elbow@0", "elbow@30"])],
                    ),
                    ("mouths", &["open"], &[]),
                ],
            ),
            subject(
                "cook",
                &[Some("front"), Some("side")],
                &[("actions", &["rest"], &[])],
            ),
        ]
    }

    fn names(views: Views, only: Only, poses: &[&str]) -> (Vec<String>, Vec<Problem>) {
        let choice = Choice {
            views,
            only,
            poses: poses.iter().map(|p| Filter::new(*p)).collect(),
        };
        let (plan, problems) = Plan::new(&cast(), &choice);
        let names = plan.jobs().into_iter().map(|j| j.name.to_string());
        (names.collect(), problems)
    }

    #[test]
    fn without_filters_all_poses_of_the_first_views_are_taken_in_order() {
        let (names, problems) = names(Views::First, Only::Poses, &[]);
        assert_eq!(
            names,
            [
                "mate/actions/rest",
                "mate/actions/haul",
                "mate/mouths/open",
                "cook/front/actions/rest"
            ]
        );
        assert!(problems.is_empty());
    }

    #[test]
    fn sweeps_follow_the_poses() {
        let (all, _) = names(Views::First, Only::All, &[]);
        assert_eq!(all[2..4], ["mate/actions/elbow@0", "mate/actions/elbow@30"]);
        let (sweeps, _) = names(Views::First, Only::Sweeps, &[]);
        assert_eq!(sweeps, ["mate/actions/elbow@0", "mate/actions/elbow@30"]);
    }

    #[test]
    fn every_printed_name_can_be_used_as_the_filter() {
        let (all, _) = names(Views::All, Only::All, &[]);
        assert_eq!(all.len(), 7);
        for name in all {
            assert_eq!(names(Views::All, Only::All, &[&name]).0, [name]);
        }
        assert_eq!(names(Views::All, Only::All, &["elbow"]).0.len(), 2);
        assert_eq!(names(Views::All, Only::All, &["elbow@*"]).0.len(), 2);
    }

    #[test]
    fn views_are_taken_by_name() {
        let (found, problems) = names(Views::Named(vec![Filter::new("side")]), Only::All, &[]);
        assert_eq!(found, ["cook/side/actions/rest"]);
        assert!(problems.is_empty());
        let (found, problems) = names(Views::Named(vec![Filter::new("sied")]), Only::All, &[]);
        assert!(found.is_empty());
        assert_eq!(problems.len(), 1);
        assert_eq!(problems[0].hint.as_deref(), Some("did you mean \"side\"?"));
    }

    #[test]
    fn a_filter_that_finds_nothing_is_a_problem_that_names_the_nearest() {
        let (found, problems) = names(Views::First, Only::Poses, &["rest", "hual"]);
        assert_eq!(found.len(), 2);
        assert_eq!(problems.len(), 1);
        assert!(problems[0].message.contains("\"hual\""));
        assert_eq!(
            problems[0].hint.as_deref(),
            Some("did you mean \"mate/actions/haul\"?")
        );
    }

    #[test]
    fn folders_follow_member_view_and_list() {
        let (plan, _) = Plan::new(
            &cast(),
            &Choice {
                views: Views::All,
                only: Only::All,
                poses: vec![],
            },
        );
        let folders: Vec<&Path> = plan.sections.iter().map(|s| s.folder.as_path()).collect();
        let want = [
            "mate/actions",
            "mate/mouths",
            "cook/front/actions",
            "cook/side/actions",
        ];
        assert_eq!(folders, want.map(Path::new));
        assert_eq!(plan.models.len(), 3);
    }

    #[test]
    fn the_same_file_in_another_case_is_a_clash() {
        let job = |name: &str, files: &[&str]| -> (String, Vec<PathBuf>) {
            (name.into(), files.iter().map(PathBuf::from).collect())
        };
        let a = job("m/Rest", &["x/Rest.png"]);
        let b = job("m/rest", &["x/rest.png"]);
        let c = job("m/haul", &["x/haul.png", "x/haul.json"]);
        assert!(clashes(&[a.clone(), c.clone()]).is_empty());
        let found = clashes(&[a.clone(), c, b]);
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].message,
            "m/Rest and m/rest would write the same file"
        );
        assert!(
            found[0]
                .hint
                .as_deref()
                .is_some_and(|h| h.contains("ignore case"))
        );
        assert_eq!(clashes(&[a.clone(), a]).len(), 1);
    }
}
