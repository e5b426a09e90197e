//! What units make: files below the output folder, findings.

use std::collections::BTreeMap;
use std::path::Path;

use super::depends::ViewDigest;
use super::digest::{Digest, Stamp};
use super::findings;
use super::json_lines::{read, rewrite};
use super::plan::{Night, Task, Unit};
use super::shared::{Places, Puppets};
use super::unit::{Made, NightFinding};
use crate::build::{
    self, CompareStyle, Failure, Job, Plan, Purpose, Round, Sets, SheetGroup, draw_sheets,
};
use crate::cast::Member;
use crate::compare::{ApprovedSet, Comparison, SetState};
use crate::diag::{Place, Problem};
use crate::draw::Scratch;
use crate::files::file_name;
use crate::solve::Puppet;

/// What a unit came to.
#[derive(Default)]
pub(super) struct Output {
    pub files: Vec<Made>,
    pub findings: Vec<NightFinding>,
}

/// Where units are made.
pub(super) struct UnitMaker<'a> {
    pub night: &'a Night,
    pub places: Places<'a>,
    pub puppets: &'a Puppets<'a>,
}

impl UnitMaker<'_> {
    pub fn make(&self, unit: &Unit, scratch: &mut Scratch) -> Result<Output, Failure> {
        match &unit.task {
            Task::Picture { section, pose } => self.picture(*section, *pose, scratch),
            Task::Sheet(group) => self.sheet(group, unit),
            Task::Check(model) => self.check(*model),
            Task::Comparison(member) => self.comparison(*member),
        }
    }

    fn picture(
        &self,
        section: usize,
        pose: usize,
        scratch: &mut Scratch,
    ) -> Result<Output, Failure> {
        let night = self.night;
        let it = &night.plan.sections[section];
        let pose = &it.list.poses[it.poses[pose]];
        let job = Job {
            model: it.model,
            section,
            pose,
            name: it.name.pose(&pose.name),
        };
        let figure = self.puppets.get(it.model).figure(job.pose);
        let figure = figure.map_err(Failure::Input)?;
        let (plan, style) = ((&night.plan, &job), &night.style.picture);
        let picture = build::draw_picture(plan, &figure, self.places.out, style, |_| (), scratch)?;
        let files = picture.files.iter();
        Ok(Output {
            files: files.map(|(path, bytes)| made(path, bytes)).collect(),
            findings: picture.cut_off.iter().map(findings::cut_off).collect(),
        })
    }

    /// A file that is in its place.
    fn made(&self, path: &Path) -> Result<Made, Failure> {
        let bytes = std::fs::read(path).map_err(|e| Failure::write(path, e))?;
        Ok(made(
            path.strip_prefix(self.places.out).unwrap_or(path),
            &bytes,
        ))
    }

    fn sheet(&self, group: &SheetGroup, unit: &Unit) -> Result<Output, Failure> {
        let (mut plan, models) = self.night.alone(&group.sections);
        let alone = SheetGroup {
            kind: group.kind,
            sections: (0..group.sections.len()).collect(),
        };
        for section in plan
            .sections
            .iter_mut()
            .filter(|s| s.purpose == Purpose::List)
        {
            let [poses, sweeps] = group.kind.shows();
            section.poses.retain(|_| poses);
            section.sweeps.retain(|_| sweeps);
        }
        let puppets: Vec<Puppet> = models
            .iter()
            .map(|&model| match unit.member {
                Some(_) => self.puppets.get(model),
                None => self.puppets.apart(model),
            })
            .collect();
        let jobs = plan.jobs();
        let rehearsal = build::rehearse(&puppets, &jobs, 1, true);
        let laid = build::lay_out_sheets(
            (&plan, &[alone]),
            &puppets,
            &rehearsal,
            &self.night.cast,
            self.places.out,
            &self.night.style.pages,
        );
        let laid = laid.map_err(|e| refusal(&e))?;
        if let Some((_, problem)) = laid.refused.into_iter().next() {
            return Err(Failure::Input(problem));
        }
        Ok(Output {
            files: self.draw(&puppets, &laid.sheets, &jobs)?,
            findings: laid.findings.iter().map(findings::drift).collect(),
        })
    }

    /// Draws pages into their files.
    fn draw(
        &self,
        puppets: &[Puppet],
        sheets: &[build::PlannedSheet],
        jobs: &[Job<'_>],
    ) -> Result<Vec<Made>, Failure> {
        // A pose that makes no sense is a cell with words; a fault spoils the sheet.
        let mut fault = None;
        let results = draw_sheets(puppets, sheets, jobs, 1, |event| {
            if let build::Event::Failed(_, failure) = event
                && !failure.is_input()
            {
                fault.get_or_insert(failure);
            }
        });
        results.into_iter().collect::<Result<(), _>>()?;
        if let Some(fault) = fault {
            return Err(fault);
        }
        let files = sheets.iter().flat_map(|sheet| &sheet.files);
        files.map(|file| self.made(file)).collect()
    }

    fn check(&self, model: usize) -> Result<Output, Failure> {
        let sections: Vec<usize> = self.night.lists_of(model).collect();
        let (plan, _) = self.night.alone(&sections);
        let puppets = [self.puppets.get(model)];
        let models: Vec<usize> = (0..plan.models.len()).collect();
        let out = self.places.out;
        let checked = build::check_views(&plan, &models, &puppets, out, 1, |_| ());
        let mut output = Output::default();
        for checked in checked {
            let checked = checked?;
            let files: Result<Vec<Made>, Failure> =
                checked.files.iter().map(|file| self.made(file)).collect();
            output.files.extend(files?);
            let list = checked.findings.list.iter();
            output.findings.extend(list.map(findings::of_joint));
        }
        Ok(output)
    }

    fn comparison(&self, member: usize) -> Result<Output, Failure> {
        let night = self.night;
        let it = &night.members[member];
        let Some(subject) = &it.subject else {
            return Err(Failure::Fault("a member that was not read".into()));
        };
        let models = night.models_of(member);
        let sections: Vec<usize> = models.iter().flat_map(|&m| night.lists_of(m)).collect();
        let (mut plan, models) = night.alone(&sections);
        plan.sections.iter_mut().for_each(|s| s.sweeps.clear());
        let folder = ApprovedSet::place(&subject.member, night.style.approved.as_deref());
        let set = ApprovedSet::open(&folder).map_err(Failure::Input)?;
        let jobs = plan.jobs();
        if set.state == SetState::Absent {
            return Ok(Output {
                files: Vec::new(),
                findings: vec![findings::not_yet_approved(jobs.len())],
            });
        }
        let round = Compared {
            maker: self,
            member: &subject.member,
            plan: &plan,
            models: &models,
        };
        let sets = Sets::from([(subject.member.key.clone(), set)]);
        let mut comparison = round.compared(member, &jobs, &sets)?;
        let set = &sets[&subject.member.key];
        let path = build::write_comparison(&mut comparison, set, self.places.out)?;
        let folder = path.parent().unwrap_or(self.places.out);
        let pictures = comparison.poses.iter().flat_map(|pose| pose.files.all());
        let pictures: Result<Vec<Made>, Failure> =
            pictures.map(|name| self.made(&folder.join(name))).collect();
        let mut files = vec![self.made(&path)?];
        files.extend(pictures?);
        Ok(Output {
            files,
            findings: findings::of_comparison(&comparison),
        })
    }
}

/// A comparison in the making.
struct Compared<'a> {
    maker: &'a UnitMaker<'a>,
    member: &'a Member,
    plan: &'a Plan,
    /// Which of the night's models those of the plan are.
    models: &'a [usize],
}

/// Of poses that were drawn for a comparison: what they were drawn from, and their pixels.
type Drawn = BTreeMap<String, [Digest; 2]>;

impl Compared<'_> {
    fn compared(
        &self,
        member: usize,
        jobs: &[Job<'_>],
        sets: &Sets,
    ) -> Result<Comparison, Failure> {
        let (night, places) = (self.maker.night, &self.maker.places);
        let style = CompareStyle {
            scale: None,
            out: Some(places.out.to_path_buf()),
            grow: night.style.picture.grow,
        };
        if let Some(error) = build::framings(self.plan, &style).find_map(|v| v.check().err()) {
            return Err(refusal(&error));
        }
        let key = &night.members[member].key;
        let memo = places.store.path("drawn");
        let memo = memo.join(format!("{}.json", file_name(key)));
        let before: Drawn = if places.again {
            Drawn::new()
        } else {
            read(&memo).unwrap_or_default()
        };
        let inputs = self.inputs(member, jobs);
        // What was drawn from the same need not be drawn to see that it is the approved picture.
        let known = |job: &Job<'_>| {
            let name = job.name.to_string();
            let [then, pixels] = before.get(&name)?;
            let same = inputs.get(&name) == Some(then);
            same.then(|| build::known_identical(job, &sets[&self.member.key], pixels))?
        };
        let round = Round {
            plan: self.plan,
            puppet: &|model| self.maker.puppets.get(self.models[model]),
            jobs,
            sources: &night.members[member].sources,
            style: &style,
            threads: 1,
        };
        let unread = (&night.unread[..], true);
        let all = build::compare_members(&round, sets, &known, unread, |_| ());
        let mut failed = all.failed.into_iter().map(|(_, failure)| failure);
        if let Some(fault) = failed.find(|failure| !failure.is_input()) {
            return Err(fault);
        }
        let comparison = all.of_members.into_iter().next();
        let comparison =
            comparison.ok_or_else(|| Failure::Fault("a member was passed over".into()))?;
        let drawn = comparison.poses.iter().filter_map(|pose| {
            let inputs = inputs.get(&pose.pose)?.clone();
            Some((pose.pose.clone(), [inputs, pose.picture.clone()?]))
        });
        let drawn: Drawn = drawn.collect();
        let text = serde_json::to_vec(&drawn).map_err(|e| Failure::Fault(e.to_string()))?;
        rewrite(&memo, &text).map_err(|e| Failure::write(&memo, e))?;
        Ok(comparison)
    }

    /// By the printed names of jobs, of what their pictures are drawn.
    fn inputs(&self, member: usize, jobs: &[Job<'_>]) -> BTreeMap<String, Digest> {
        let drawings = &self.maker.night.members[member].drawings;
        let models = self.plan.models.iter();
        let views: Vec<ViewDigest> = models.map(|m| ViewDigest::new(m, drawings)).collect();
        let scale = self.member.compare.scale;
        let grow = self.maker.night.style.picture.grow || self.member.grow;
        jobs.iter()
            .map(|job| {
                let view = self.plan.models[job.model].view();
                let mut stamp = Stamp::new("drawn");
                stamp.maybe(scale, Stamp::number);
                stamp.count(usize::from(grow));
                stamp.digest(&views[job.model].pose(view, job.pose, drawings));
                (job.name.to_string(), stamp.done())
            })
            .collect()
    }
}

fn refusal(error: &impl std::fmt::Display) -> Failure {
    Failure::Input(Problem::error(Place::Nowhere, error.to_string()))
}

pub(super) fn made(path: &Path, bytes: &[u8]) -> Made {
    let steps: Vec<_> = path.iter().map(|step| step.to_string_lossy()).collect();
    Made {
        path: steps.join("/"),
        bytes: bytes.len() as u64,
        digest: Digest::of(bytes),
    }
}
