//! Which units a run sees to.

use std::collections::BTreeMap;

use super::args::NightArgs;
use super::read;
use crate::build::night::{self, Digest, Kind, Night, Store, Task, Unit};
use crate::build::{Filter, Purpose, Section, nearest};
use crate::diag::{Place, Problem, quoted};

/// What is selected.
pub(super) struct Selection {
    /// Units by place.
    pub units: Vec<usize>,
    /// The night to compare with, if another than the last: the digest of its inputs.
    pub since: Option<Digest>,
}

/// What is selected, or why nothing is.
pub(super) fn select(
    typed: &NightArgs,
    night: &Night,
    store: &Store,
    threads: usize,
) -> Result<Selection, Vec<Problem>> {
    let mut problems = Vec::new();
    let members: Vec<Filter> = typed.member.iter().map(Filter::new).collect();
    let views: Vec<Filter> = typed.view.iter().map(Filter::new).collect();
    let poses: Vec<Filter> = typed.pose.iter().map(Filter::new).collect();
    let mut names: [Vec<String>; 3] = Default::default();
    names[0] = night.members.iter().map(|m| m.key.clone()).collect();
    for model in &night.plan.models {
        names[1].extend(model.view_name().map(str::to_owned));
    }
    let lists = night.plan.sections.iter();
    for section in lists.filter(|section| section.purpose == Purpose::List) {
        let all = section.all_poses();
        names[2].extend(all.iter().map(|p| section.name.pose(&p.name).to_string()));
    }
    for ((what, filters), names) in [("member", &members), ("view", &views), ("pose", &poses)]
        .into_iter()
        .zip(&names)
    {
        for filter in filters {
            if !names.iter().any(|name| filter.matches(name)) {
                let message = format!("no {what} is called {}", quoted(filter.as_str()));
                let mut problem = Problem::error(Place::Nowhere, message);
                if let Some(near) = nearest(filter.as_str(), names.iter().map(String::as_str)) {
                    problem = problem.hint(format!("did you mean {}?", quoted(near)));
                }
                problems.push(problem);
            }
        }
    }
    let mut since = None;
    let mut before = None;
    if let Some(revision) = &typed.since {
        match then(typed, revision, store, threads) {
            Ok(then) => {
                since = then.night;
                before = Some(then.inputs);
            }
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let any = |filters: &[Filter], name: &str| {
        filters.is_empty() || filters.iter().any(|filter| filter.matches(name))
    };
    let whole = members.is_empty() && views.is_empty() && poses.is_empty();
    let wanted = |unit: &Unit| {
        let mut models = unit.models.iter().map(|&at| &night.plan.models[at]);
        let kinds = typed.make.is_empty()
            || typed
                .make
                .iter()
                .any(|&form| Kind::from(form) == unit.key.kind);
        let shown = match unit.member {
            Some(member) => {
                any(&members, &night.members[member].key)
                    && (views.is_empty()
                        || models.any(|m| m.view_name().is_some_and(|name| any(&views, name))))
                    && shows(night, unit, &poses)
            }
            // What shows the whole cast is none of a part of it.
            None => whole,
        };
        let changed = before.as_ref().is_none_or(|before| {
            let then = before.get(&unit.key.to_string());
            then.is_none_or(|inputs| *inputs != unit.inputs)
        });
        kinds && shown && changed
    };
    let selected: Vec<usize> = (0..night.units.len())
        .filter(|&at| wanted(&night.units[at]))
        .collect();
    if selected.is_empty() && before.is_none() {
        let message = "nothing is selected: nothing is all of what was asked for";
        return Err(vec![Problem::error(Place::Nowhere, message)]);
    }
    Ok(Selection {
        units: selected,
        since,
    })
}

/// What a revision had.
struct Then {
    /// By name of the unit, the digest of its inputs.
    inputs: BTreeMap<String, Digest>,
    /// The night that it was, where it was one.
    night: Option<Digest>,
}

/// A night of the history, or a revision of the repository that the cast lies in.
fn then(typed: &NightArgs, revision: &str, store: &Store, threads: usize) -> Result<Then, Problem> {
    let entries = night::history(&typed.keeping.out);
    let found = night::find(&entries, revision);
    if let Some((entry, digests)) =
        found.and_then(|entry| Some((entry, store.night(&entry.inputs)?)))
    {
        return Ok(Then {
            inputs: digests
                .into_iter()
                .map(|(k, [inputs, _])| (k, inputs))
                .collect(),
            night: Some(entry.inputs.clone()),
        });
    }
    let tree = night::checkout(&typed.cast, revision).map_err(|why| {
        let message = format!(
            "no night of the history is called {}, {why}",
            quoted(revision)
        );
        let titles: Vec<&str> = entries
            .iter()
            .rev()
            .take(4)
            .map(night::Entry::title)
            .collect();
        let hint = if titles.is_empty() {
            "there was no night yet".to_owned()
        } else {
            format!("the latest are {}", titles.join(", "))
        };
        Problem::error(Place::Nowhere, message).hint(hint)
    })?;
    let mut typed = typed.clone();
    if let Some(approved) = &typed.approved {
        typed.approved = Some(tree.then(approved).unwrap_or_else(|| approved.clone()));
    }
    let old = read::plan(&typed, &tree.cast, threads).night;
    let inputs = old.inputs();
    Ok(Then {
        inputs: old
            .units
            .iter()
            .map(|unit| (unit.key.to_string(), unit.inputs.clone()))
            .collect(),
        night: store.night(&inputs).map(|_| inputs),
    })
}

/// True when the unit shows one of these poses.
fn shows(night: &Night, unit: &Unit, filters: &[Filter]) -> bool {
    if filters.is_empty() {
        return true;
    }
    let any = |section: &Section, name: &str| {
        let name = section.name.pose(name).to_string();
        filters.iter().any(|filter| filter.matches(&name))
    };
    let posed = |section: &Section| section.poses().any(|pose| any(section, &pose.name));
    let swept = |section: &Section| {
        section.sweeps().any(|(sweep, poses)| {
            any(section, &sweep.name) || poses.iter().any(|pose| any(section, &pose.name))
        })
    };
    let sections = &night.plan.sections;
    match &unit.task {
        Task::Picture { section, pose } => {
            let section = &sections[*section];
            any(section, &section.list.poses[section.poses[*pose]].name)
        }
        Task::Sheet(group) => group.sections.iter().any(|&at| {
            let section = &sections[at];
            match section.purpose {
                Purpose::List => {
                    let [poses, sweeps] = group.kind.shows();
                    (poses && posed(section)) || (sweeps && swept(section))
                }
                // Asked for by a list: the poses are those of the list.
                Purpose::Declared => {
                    let mut list = section.clone();
                    list.name.sheet = None;
                    list.all_poses().iter().any(|pose| any(&list, &pose.name))
                }
                Purpose::Sheet(_) => false,
            }
        }),
        Task::Check(_) => false,
        Task::Comparison(member) => {
            let models = night.models_of(*member);
            let mut lists = models.iter().flat_map(|&model| night.lists_of(model));
            lists.any(|at| posed(&sections[at]))
        }
    }
}

/// What was selected, in words.
pub(super) fn words(typed: &NightArgs) -> Option<String> {
    let mut words = Vec::new();
    let kinds: Vec<String> = typed
        .make
        .iter()
        .map(|&form| format!("{}s", Kind::from(form).word()))
        .collect();
    for (sort, names) in [
        ("members", &typed.member),
        ("views", &typed.view),
        ("poses", &typed.pose),
        ("", &kinds),
    ] {
        if !names.is_empty() {
            words.push(format!("{sort} {}", names.join(", ")).trim().to_owned());
        }
    }
    if let Some(since) = &typed.since {
        words.push(format!("what changed since {since}"));
    }
    (!words.is_empty()).then(|| words.join("; "))
}

/// The selected units that this run has to see to. The costs are those that the last whole night
/// left: the same for all shards, whichever of them is done.
pub(super) fn share(
    typed: &NightArgs,
    night: &Night,
    store: &Store,
    selected: &[usize],
) -> Vec<usize> {
    let Some(shard) = typed.shard else {
        return selected.to_vec();
    };
    let settled = store.settled();
    let mut costs = vec![0.0; night.units.len()];
    for &at in selected {
        let unit = &night.units[at];
        let same = settled
            .get(&unit.key)
            .is_some_and(|record| record.inputs == unit.inputs);
        // To see that nothing is to do takes next to nothing.
        costs[at] = if same && !typed.again {
            10.0
        } else {
            unit.guess
        };
    }
    let shares = night::split(night, &costs, shard.of);
    let mine = selected.iter().copied();
    mine.filter(|&at| shares[at] + 1 == shard.number).collect()
}
