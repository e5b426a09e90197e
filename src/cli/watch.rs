//! `--watch`: a command again and again, as saves change what it reads.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use clap::Args;
use notify::{Config, Event, EventKind, PollWatcher, RecommendedWatcher, RecursiveMode, Watcher};

use super::args::{InputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::show::Members;
use super::terminal::count;
use crate::build::Job;
use crate::build::Plan;
use crate::build::night::{Digest, ViewDigest, drawings};
use crate::diag::{Place, Problem, Sources};

/// An editor saves in several steps: so long nothing must come before files are read.
const QUIET: Duration = Duration::from_millis(15);
/// How often files are looked at where nobody tells of changes.
const POLL: Duration = Duration::from_millis(500);
/// Endings of the files that rigs are made of.
const ENDINGS: [&str; 8] = ["toml", "svg", "svgz", "png", "jpg", "jpeg", "gif", "webp"];

/// Whether a command stays.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Running")]
pub struct WatchArgs {
    /// Stay, and make anew what a save changed, until stopped
    #[arg(long)]
    watch: bool,
    /// With --watch: look at the files twice a second, for network drives that tell nobody of changes
    #[arg(long, requires = "watch")]
    poll: bool,
}

/// What was made so far and what it was made of, so that a save makes anew only what it changed.
#[derive(Debug, Default)]
pub struct Made {
    stays: bool,
    files: BTreeMap<PathBuf, Digest>,
    to_come: BTreeMap<PathBuf, Digest>,
}

impl Made {
    /// Leaves out what is there as it would be made again. A command that does not stay makes all.
    pub fn leave_out(&mut self, plan: &Plan, jobs: &mut Vec<(Job<'_>, Vec<PathBuf>)>) {
        if !self.stays {
            return;
        }
        let mut views = BTreeMap::new();
        jobs.retain(|(job, paths)| {
            let model = &plan.models[job.model];
            let (view, all) = views.entry(job.model).or_insert_with(|| {
                let all = drawings(&model.library);
                (ViewDigest::new(model, &all), all)
            });
            let digest = view.pose(model.view(), job.pose, all);
            let is_there = |path: &PathBuf| self.files.get(path) == Some(&digest) && path.is_file();
            let known = paths.iter().all(is_there);
            for path in paths.iter().filter(|_| !known) {
                self.files.remove(path);
                self.to_come.insert(path.clone(), digest.clone());
            }
            !known
        });
    }

    /// These files were made.
    pub fn note(&mut self, paths: &[PathBuf]) {
        for path in paths {
            self.files.extend(self.to_come.remove_entry(path));
        }
    }
}

/// Runs a command once, or whenever a save changed what it reads. What lies in `out` is no input.
pub fn run(
    watching: WatchArgs,
    input: &InputArgs,
    running: &RunningArgs,
    out: &Path,
    mut once: impl FnMut(&mut Made) -> Exit,
) -> Exit {
    let mut made = Made {
        stays: watching.watch,
        ..Made::default()
    };
    if !watching.watch {
        return once(&mut made);
    }
    let console = Console::new(running);
    let mut eyes = match Eyes::new(watching.poll) {
        Ok(eyes) => eyes,
        Err(error) => return refused(&console, &error),
    };
    let out = out.canonicalize();
    loop {
        // Looked at before they are read: no save falls between.
        if let Err(error) = eyes.look_at(&folders(input)) {
            return refused(&console, &error);
        }
        once(&mut made);
        console.remark(
            false,
            &format!("watching {}", count(eyes.folders.len(), "folder")),
        );
        let is_input = |path: &Path| {
            let ending = path
                .extension()
                .and_then(|e| e.to_str())
                .unwrap_or_default();
            let made = out.as_ref().is_ok_and(|out| path.starts_with(out));
            ENDINGS.contains(&ending.to_ascii_lowercase().as_str()) && !made
        };
        let Some(changed) = eyes.changed(is_input) else {
            return Exit::Output;
        };
        let names = changed.iter().filter_map(|path| path.file_name()?.to_str());
        let names: BTreeSet<&str> = names.collect();
        let names: Vec<&str> = names.into_iter().collect();
        console.remark(false, &format!("changed: {}", names.join(", ")));
    }
}

fn refused(console: &Console, error: &notify::Error) -> Exit {
    let message = format!("cannot watch the files: {error}");
    let problem = Problem::error(Place::Nowhere, message).hint("try --poll");
    console.problem(&problem, &Sources::default());
    Exit::Output
}

/// The folders that a command reads from. Files are not watched themselves: many editors put a new one in
/// the place of the old.
fn folders(input: &InputArgs) -> BTreeSet<PathBuf> {
    let members = Members::read(input);
    let read = members.sources.iter().map(|source| source.path.clone());
    let typed = [&input.rig].into_iter().chain(&input.more).cloned();
    let all = read.chain(typed).filter_map(|path| {
        let folder = if path.is_dir() {
            path
        } else {
            path.parent()?.to_path_buf()
        };
        let here = folder.as_os_str().is_empty();
        if here { Path::new(".") } else { &folder }
            .canonicalize()
            .ok()
    });
    all.collect()
}

/// Who tells of changes.
struct Eyes {
    watcher: Box<dyn Watcher>,
    told: Receiver<notify::Result<Event>>,
    folders: BTreeSet<PathBuf>,
}

impl Eyes {
    fn new(poll: bool) -> notify::Result<Self> {
        let (tell, told) = channel();
        let watcher: Box<dyn Watcher> = if poll {
            let config = Config::default()
                .with_poll_interval(POLL)
                .with_compare_contents(true);
            Box::new(PollWatcher::new(tell, config)?)
        } else {
            Box::new(RecommendedWatcher::new(tell, Config::default())?)
        };
        Ok(Self {
            watcher,
            told,
            folders: BTreeSet::new(),
        })
    }

    /// Watches these folders, and no others.
    fn look_at(&mut self, folders: &BTreeSet<PathBuf>) -> notify::Result<()> {
        for folder in folders.difference(&self.folders) {
            self.watcher.watch(folder, RecursiveMode::NonRecursive)?;
        }
        for folder in self.folders.difference(folders) {
            // A folder that is gone is watched no more.
            let _ = self.watcher.unwatch(folder);
        }
        self.folders.clone_from(folders);
        Ok(())
    }

    /// Waits for saves of inputs. Gives the files; `None` when nobody tells any more.
    fn changed(&self, is_input: impl Fn(&Path) -> bool) -> Option<BTreeSet<PathBuf>> {
        let mut changed = BTreeSet::new();
        loop {
            let told = if changed.is_empty() {
                self.told.recv().ok()?
            } else {
                match self.told.recv_timeout(QUIET) {
                    Ok(told) => told,
                    Err(_) => return Some(changed),
                }
            };
            let event = told
                .ok()
                .filter(|e| !matches!(e.kind, EventKind::Access(_)));
            let paths = event.into_iter().flat_map(|event| event.paths);
            changed.extend(paths.filter(|path| is_input(path)));
        }
    }
}
