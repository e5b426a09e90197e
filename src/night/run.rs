//! The run: units on threads, heavy first, each journalled when its files are in place.

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use super::digest::Digest;
use super::plan::{Night, Task, Unit, heavy_first};
use super::store::{Journal, Known, Measured, stat};
use super::unit::{Made, Record};
use crate::batch::{
    self, Failure, Job, Plan, Section, Window, draw_sheets, guarded, plan_sheets, with_threads,
    write_whole,
};
use crate::diag;
use crate::draw::Scratch;
use crate::solve::Puppet;

/// What happens in a night; `usize` is the unit's place in the night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// A thread took the unit up.
    Started(usize),
    /// It is made, or it was found that nothing can be made of its inputs.
    Done(usize),
    /// It could not be drawn or written.
    Failed(usize, String),
}

/// What became of the units that were to do, in their order.
pub type Results = Vec<(usize, Result<Known, String>)>;

/// Does these units of the night.
pub fn run(
    night: &Night,
    todo: &[usize],
    out: &Path,
    journal: &Journal,
    threads: usize,
    watch: impl FnMut(Event),
) -> Results {
    let order = heavy_first(night, todo);
    let puppets = Puppets::new(night, &order);
    let next = AtomicUsize::new(0);
    let results = Mutex::new(Vec::with_capacity(order.len()));
    with_threads(
        threads,
        |tell: &(dyn Fn(Event) + Sync)| {
            let worker = || {
                let mut scratch = Scratch::default();
                while let Some(&at) = order.get(next.fetch_add(1, Ordering::Relaxed)) {
                    tell(Event::Started(at));
                    let unit = &night.units[at];
                    let model = night.model(unit);
                    let made = guarded(|| {
                        let puppet = puppets.get(model);
                        finish(night, unit, &puppet, out, journal, &mut scratch)
                    });
                    puppets.done(model);
                    let made = made.map_err(|failure| failure.to_string());
                    tell(match &made {
                        Ok(_) => Event::Done(at),
                        Err(why) => Event::Failed(at, why.clone()),
                    });
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .push((at, made));
                }
            };
            rayon::scope(|scope| {
                for _ in 0..threads {
                    scope.spawn(|_| worker());
                }
            });
        },
        watch,
    );
    let mut results = results.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.sort_unstable_by_key(|(at, _)| *at);
    results
}

/// Views prepared when their first unit is taken up, and dropped with their last.
struct Puppets<'a> {
    night: &'a Night,
    slots: Vec<(AtomicUsize, Mutex<Option<Puppet>>)>,
}

impl<'a> Puppets<'a> {
    fn new(night: &'a Night, units: &[usize]) -> Self {
        let slots: Vec<_> = night
            .plan
            .models
            .iter()
            .map(|_| (AtomicUsize::new(0), Mutex::new(None)))
            .collect();
        for &at in units {
            slots[night.model(&night.units[at])]
                .0
                .fetch_add(1, Ordering::Relaxed);
        }
        Self { night, slots }
    }

    fn get(&self, model: usize) -> Puppet {
        let mut slot = self.slots[model]
            .1
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        slot.get_or_insert_with(|| {
            let it = &self.night.plan.models[model];
            Puppet::new(Arc::clone(&it.member), it.view, &it.library)
        })
        .clone()
    }

    fn done(&self, model: usize) {
        let (left, slot) = &self.slots[model];
        if left.fetch_sub(1, Ordering::AcqRel) == 1 {
            *slot.lock().unwrap_or_else(PoisonError::into_inner) = None;
        }
    }
}

/// Makes a unit's files, then the line in the journal that says so.
fn finish(
    night: &Night,
    unit: &Unit,
    puppet: &Puppet,
    out: &Path,
    journal: &Journal,
    scratch: &mut Scratch,
) -> Result<Known, Failure> {
    let started = Instant::now();
    let made = match unit.task {
        Task::Picture { section, pose } => picture(night, section, pose, puppet, out, scratch),
        Task::Sheet { section, sweeps } => sheet(night, section, sweeps, puppet, out),
    };
    let (files, refused) = match made {
        Ok(files) => (files, None),
        Err(Failure::Input(problem)) => {
            let sources = &night.members[night.member(unit)].sources;
            (Vec::new(), Some(diag::short(&problem, sources)))
        }
        Err(failure) => return Err(failure),
    };
    let mut written: Vec<u64> = files
        .iter()
        .map(|made| stat(&out.join(&made.path)).map_or(0, |(written, _)| written))
        .collect();
    if written.is_empty() {
        written.push(journal.written());
    }
    let measured = Measured {
        us: u64::try_from(started.elapsed().as_micros()).unwrap_or(u64::MAX),
        written,
    };
    let record = Record {
        key: unit.key.clone(),
        inputs: unit.inputs.clone(),
        files,
        findings: Vec::new(),
        refused,
    };
    let failed = |e: std::io::Error| Failure::Write {
        path: "the journal".into(),
        why: e.to_string(),
    };
    journal.add(&record, &measured).map_err(failed)?;
    Ok(Known {
        record,
        measured: Some(measured),
        recent: true,
    })
}

fn picture(
    night: &Night,
    section: usize,
    pose: usize,
    puppet: &Puppet,
    out: &Path,
    scratch: &mut Scratch,
) -> Result<Vec<Made>, Failure> {
    let it = &night.plan.sections[section];
    let model = &night.plan.models[it.model];
    let pose = &it.list.poses[it.poses[pose]];
    let job = Job {
        model: it.model,
        section,
        pose,
        name: format!("{}/{}", it.name, pose.name),
    };
    let style = &night.style.picture;
    let viewport = style.framing.viewport(model.member.canvas);
    let files = batch::picture(puppet, &job, &viewport, style, scratch)?;
    files
        .into_iter()
        .map(|(ending, bytes)| {
            let path = job.file(&night.plan, Path::new(""), ending);
            save(out, &path, &bytes)
        })
        .collect()
}

/// Writes a file and says what was written.
fn save(out: &Path, path: &Path, bytes: &[u8]) -> Result<Made, Failure> {
    let full = out.join(path);
    write_whole(&full, bytes).map_err(|e| Failure::Write {
        path: full.clone(),
        why: e.to_string(),
    })?;
    Ok(made(path, bytes))
}

fn made(path: &Path, bytes: &[u8]) -> Made {
    let steps: Vec<_> = path.iter().map(|step| step.to_string_lossy()).collect();
    Made {
        path: steps.join("/"),
        bytes: bytes.len() as u64,
        digest: Digest::of(bytes),
    }
}

fn sheet(
    night: &Night,
    section: usize,
    sweeps: bool,
    puppet: &Puppet,
    out: &Path,
) -> Result<Vec<Made>, Failure> {
    let it = &night.plan.sections[section];
    let alone = Plan {
        models: vec![night.plan.models[it.model].clone()],
        sections: vec![Section {
            model: 0,
            poses: if sweeps { Vec::new() } else { it.poses.clone() },
            sweeps: if sweeps {
                it.sweeps.clone()
            } else {
                Vec::new()
            },
            ..it.clone()
        }],
        left_out: Vec::new(),
    };
    let jobs = alone.jobs();
    let rehearsal: Vec<_> = jobs
        .iter()
        .map(|job| {
            guarded(|| {
                let figure = puppet.solve(job.pose).map_err(Failure::Input)?;
                Ok(figure.bounds())
            })
        })
        .collect();
    let sheets = plan_sheets(&alone, &rehearsal, out, &night.style.look, Window::Figures)
        .map_err(|e| Failure::Input(diag::Problem::error(diag::Place::Nowhere, e.to_string())))?;
    let puppets = [puppet.clone()];
    // A pose that makes no sense is a cell with words; a fault spoils the sheet.
    let mut fault = None;
    let results = draw_sheets(&puppets, &sheets, &jobs, 1, |event| {
        if let batch::Event::Failed(_, failure) = event
            && !failure.is_input()
        {
            fault.get_or_insert(failure);
        }
    });
    results.into_iter().collect::<Result<(), _>>()?;
    if let Some(fault) = fault {
        return Err(fault);
    }
    sheets
        .iter()
        .flat_map(|sheet| &sheet.files)
        .map(|file| {
            let bytes = std::fs::read(file).map_err(|e| Failure::Write {
                path: file.clone(),
                why: e.to_string(),
            })?;
            Ok(made(file.strip_prefix(out).unwrap_or(file), &bytes))
        })
        .collect()
}
