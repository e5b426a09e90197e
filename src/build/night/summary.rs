//! What a night came to: the same for the same inputs, however it was run.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::digest::Digest;
use super::scope::Scope;
use super::store::{Digests, Known};
use super::unit::{Key, Kind, Level, Made, NightFinding};

/// What became of a unit, as against the night before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// It could not be drawn or written.
    Failed,
    /// Nothing can be made of its inputs.
    Refused,
    /// Something else came out.
    Changed,
    /// It was not there before.
    New,
    /// The same came out.
    Same,
}

impl State {
    /// What it is called.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Failed => "failed",
            Self::Refused => "refused",
            Self::Changed => "changed",
            Self::New => "new",
            Self::Same => "same",
        }
    }
}

/// How many of what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Counts {
    /// Units.
    pub units: usize,
    /// Of these pictures.
    pub pictures: usize,
    /// And sheets.
    pub sheets: usize,
    /// And checks.
    pub checks: usize,
    /// And comparisons.
    pub comparisons: usize,
    /// Units of which something else came out than the night before.
    pub changed: usize,
    /// Of these pictures: poses that look different.
    pub poses: usize,
    /// Units that were not there before.
    pub new: usize,
    /// Units that are there no more.
    pub gone: usize,
    /// Units of whose inputs nothing can be made.
    pub refused: usize,
    /// Units that could not be drawn or written.
    pub failed: usize,
    /// What comparisons found that a person must look at: poses that are not as approved.
    pub differing: usize,
    /// What checks and sheets found that a person must look at.
    pub faults: usize,
    /// Findings and problems that a person must look at, these among them.
    pub errors: usize,
    /// Findings and problems that a person may want to look at.
    pub warnings: usize,
}

impl Counts {
    fn take(&mut self, unit: &UnitSummary) {
        self.units += 1;
        match unit.key.kind {
            Kind::Picture => self.pictures += 1,
            Kind::Sheet => self.sheets += 1,
            Kind::Check => self.checks += 1,
            Kind::Comparison => self.comparisons += 1,
            Kind::Review => {}
        }
        let grave = unit.findings.iter().filter(|f| f.level == Level::Error);
        match unit.key.kind {
            Kind::Comparison => self.differing += grave.count(),
            _ => self.faults += grave.count(),
        }
        match unit.state {
            State::Failed => self.failed += 1,
            State::Refused => self.refused += 1,
            State::Changed => {
                self.changed += 1;
                self.poses += usize::from(unit.key.kind == Kind::Picture);
            }
            State::New => self.new += 1,
            State::Same => {}
        }
        self.find(&unit.findings);
    }

    fn find(&mut self, findings: &[NightFinding]) {
        for finding in findings {
            match finding.level {
                Level::Error => self.errors += 1,
                Level::Warning => self.warnings += 1,
            }
        }
    }
}

/// A unit in the summary.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct UnitSummary {
    /// Which.
    #[serde(flatten)]
    pub key: Key,
    /// What became of it.
    pub state: State,
    /// What was made.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub files: Vec<Made>,
    /// What was found.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<NightFinding>,
    /// Why nothing was made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// A member in the summary.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MemberSummary {
    /// What the cast calls it.
    pub member: String,
    /// Its display name; empty where its rig could not be read.
    pub name: String,
    /// How many of what.
    pub counts: Counts,
    /// What is wrong with its files.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<NightFinding>,
    /// Its units, in order.
    pub units: Vec<UnitSummary>,
}

/// The night that another is compared with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Since {
    /// What it was called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// Of its inputs.
    pub inputs: Digest,
}

/// What a night came to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Summary {
    /// The show's name.
    pub cast: String,
    /// What this night is called.
    pub label: Option<String>,
    /// Of all inputs.
    pub inputs: Digest,
    /// The night before.
    pub since: Option<Since>,
    /// The version of the program.
    pub engine: String,
    /// What was selected, in words; `None` for everything.
    pub selection: Option<String>,
    /// How many of what.
    pub counts: Counts,
    /// What cannot be made, and why.
    pub unread: Vec<(String, String)>,
    /// The cast, in its order.
    pub members: Vec<MemberSummary>,
    /// What shows the whole cast.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub all: Vec<UnitSummary>,
    /// The review page of all comparisons, where there is one: below the output folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub review: Option<String>,
    /// Units that are there no more.
    pub gone: Vec<String>,
}

/// Sums a night up. `failed` has the units that could not be drawn or written; of every other unit
/// something is known.
#[must_use]
pub fn sum_up(
    scope: &Scope,
    known: &BTreeMap<Key, Known>,
    failed: &BTreeMap<Key, String>,
    since: Option<(Since, Digests)>,
) -> Summary {
    let before = since.as_ref().map(|(_, digests)| digests);
    let mut members: Vec<MemberSummary> = scope
        .members
        .iter()
        .map(|member| MemberSummary {
            member: member.key.clone(),
            name: member.name.clone(),
            counts: Counts::default(),
            problems: member.problems.clone(),
            units: Vec::new(),
        })
        .collect();
    let mut all = Vec::new();
    for unit in &scope.units {
        let record = known.get(&unit.key).map(|known| &known.record);
        let record = record.filter(|record| record.inputs == unit.inputs);
        let why = failed.get(&unit.key);
        let state = match (record, why) {
            (_, Some(_)) | (None, _) => State::Failed,
            (Some(record), _) if record.refused.is_some() => State::Refused,
            (Some(record), _) => match before.and_then(|b| b.get(&unit.key.to_string())) {
                None => State::New,
                Some([_, outcome]) if *outcome == record.outcome() => State::Same,
                Some(_) => State::Changed,
            },
        };
        let refused = record.and_then(|r| r.refused.as_ref());
        let summary = UnitSummary {
            key: unit.key.clone(),
            state,
            files: record.map_or_else(Vec::new, |r| r.files.clone()),
            findings: record.map_or_else(Vec::new, |r| r.findings.clone()),
            why: why.or(refused).cloned(),
        };
        match unit.member.and_then(|at| members.get_mut(at)) {
            Some(member) => {
                member.counts.take(&summary);
                member.units.push(summary);
            }
            None => all.push(summary),
        }
    }
    let mut counts = Counts::default();
    all.iter().for_each(|unit| counts.take(unit));
    for member in &mut members {
        for unit in &member.units {
            counts.take(unit);
        }
        member.counts.find(&member.problems);
        counts.find(&member.problems);
    }
    let mut gone: Vec<String> = Vec::new();
    if scope.selection.is_none() {
        let names: BTreeSet<String> = scope.units.iter().map(|u| u.key.to_string()).collect();
        let there = before.into_iter().flat_map(BTreeMap::keys);
        gone.extend(there.filter(|name| !names.contains(*name)).cloned());
    }
    counts.gone = gone.len();
    let page = known.get(&Key::review()).map(|known| &known.record.files);
    let page = page.and_then(|files| files.iter().find(|f| f.path.ends_with("index.html")));
    Summary {
        cast: scope.cast.clone(),
        label: scope.label.clone(),
        inputs: scope.inputs.clone(),
        since: since.map(|(since, _)| since),
        engine: scope.engine.clone(),
        selection: scope.selection.clone(),
        counts,
        unread: scope
            .unread
            .iter()
            .map(|(name, why)| (name.to_string(), why.clone()))
            .collect(),
        members,
        all,
        review: page.map(|made| made.path.clone()),
        gone,
    }
}

impl Summary {
    /// All units, in the order they are told of.
    pub fn units(&self) -> impl Iterator<Item = &UnitSummary> {
        let of_members = self.members.iter().flat_map(|m| &m.units);
        of_members.chain(&self.all)
    }
}
