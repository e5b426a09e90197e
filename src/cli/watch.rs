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
use crate::build::night::{Digest, Stamp, ViewDigest, drawings};
use crate::build::{Checked, Job, Plan, PlannedSheet};
use crate::cast::{Drawing, Zone};
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
    /// Views and what was found in them.
    checked: BTreeMap<String, (Digest, Checked)>,
    /// The files that were read last.
    read: BTreeSet<PathBuf>,
}

impl Made {
    /// Leaves out what is there as it would be made again. A command that does not stay makes all.
    pub fn leave_out(&mut self, plan: &Plan, jobs: &mut Vec<(Job<'_>, Vec<PathBuf>)>) {
        if !self.stays {
            return;
        }
        let mut poses = Poses::new(plan);
        jobs.retain(|(job, paths)| {
            let digest = poses.digest(job);
            self.asks(&digest, paths)
        });
    }

    /// The same of pages: sheets with those that are to be drawn.
    pub fn pages(
        &mut self,
        plan: &Plan,
        jobs: &[Job<'_>],
        mut sheets: Vec<PlannedSheet>,
    ) -> Vec<PlannedSheet> {
        if !self.stays {
            return sheets;
        }
        let mut poses = Poses::new(plan);
        for sheet in &mut sheets {
            let files = std::mem::take(&mut sheet.files).into_iter();
            let pages = std::mem::take(&mut sheet.document.pages).into_iter();
            for (file, page) in files.zip(pages) {
                // What is laid out says all of a page but its figures.
                let mut stamp = Stamp::new("page");
                stamp.text(&format!("{page:?}"));
                for figure in page.figures() {
                    stamp.digest(&poses.digest(&jobs[figure.figure]));
                }
                if self.asks(&stamp.done(), std::slice::from_ref(&file)) {
                    sheet.files.push(file);
                    sheet.document.pages.push(page);
                }
            }
        }
        sheets
    }

    /// The same of documents, each of several sheets.
    pub fn packs(
        &mut self,
        plan: &Plan,
        jobs: &[Job<'_>],
        mut sheets: Vec<PlannedSheet>,
    ) -> Vec<PlannedSheet> {
        if !self.stays {
            return sheets;
        }
        let mut poses = Poses::new(plan);
        let mut packs: BTreeMap<PathBuf, Stamp> = BTreeMap::new();
        for sheet in &sheets {
            let pack = packs.entry(sheet.pack.clone());
            let stamp = pack.or_insert_with(|| Stamp::new("pack"));
            stamp.text(&format!("{} {:?}", sheet.pack_title, sheet.document));
            for figure in sheet.document.pages.iter().flat_map(|page| page.figures()) {
                stamp.digest(&poses.digest(&jobs[figure.figure]));
            }
        }
        let packs = packs.into_iter();
        let asked: BTreeSet<PathBuf> = packs
            .filter_map(|(file, stamp)| {
                let asks = self.asks(&stamp.done(), std::slice::from_ref(&file));
                asks.then_some(file)
            })
            .collect();
        sheets.retain(|sheet| asked.contains(&sheet.pack));
        sheets
    }

    /// Whether files that would be made of this are to be made.
    fn asks(&mut self, digest: &Digest, paths: &[PathBuf]) -> bool {
        let is_there = |path: &PathBuf| self.files.get(path) == Some(digest) && path.is_file();
        let known = paths.iter().all(is_there);
        for path in paths.iter().filter(|_| !known) {
            self.files.remove(path);
            self.to_come.insert(path.clone(), digest.clone());
        }
        !known
    }

    /// These files were made.
    pub fn note(&mut self, paths: &[PathBuf]) {
        for path in paths {
            self.files.extend(self.to_come.remove_entry(path));
        }
    }

    /// What was found in a view, where nothing that it is made of has changed since.
    pub fn checked(&self, name: &str, digest: &Digest) -> Option<Checked> {
        let (known, checked) = self.checked.get(name).filter(|_| self.stays)?;
        let there = || checked.files.iter().all(|file| file.is_file());
        (known == digest && there()).then(|| checked.clone())
    }

    /// This was found in a view.
    pub fn note_checked(&mut self, digest: Digest, checked: &Checked) {
        if self.stays {
            let entry = (digest, checked.clone());
            self.checked.insert(checked.name.clone(), entry);
        }
    }

    /// These files were read.
    pub fn saw(&mut self, sources: &Sources) {
        self.read = sources.iter().map(|source| source.path.clone()).collect();
    }
}

/// What poses are made of.
struct Poses<'a> {
    plan: &'a Plan,
    views: BTreeMap<usize, (ViewDigest, Vec<Digest>)>,
}

impl<'a> Poses<'a> {
    const fn new(plan: &'a Plan) -> Self {
        Self {
            plan,
            views: BTreeMap::new(),
        }
    }

    fn digest(&mut self, job: &Job<'_>) -> Digest {
        let model = &self.plan.models[job.model];
        let (view, all) = self.views.entry(job.model).or_insert_with(|| {
            let all = drawings(&model.library);
            (ViewDigest::new(model, &all), all)
        });
        view.pose(model.view(), job.pose, all)
    }
}

/// What the check of a view is made of: its drawings, and all that is written, for findings tell of places there; not
/// what is written of other members.
pub fn of_check(plan: &Plan, model: usize, sources: &Sources) -> Digest {
    let model = &plan.models[model];
    let own = &model.member.folder;
    let others = plan.models.iter().map(|model| &model.member.folder);
    let others: BTreeSet<&PathBuf> = others.filter(|folder| *folder != own).collect();
    let mut stamp = Stamp::new("check");
    for (at, source) in sources.iter().enumerate() {
        let path = &source.path;
        let written = path.extension().is_some_and(|ending| ending == "toml");
        if written && !others.iter().any(|other| path.starts_with(other)) {
            stamp.count(at);
            stamp.text(&source.text);
        }
    }
    let view = model.view();
    let drawings = drawings(&model.library);
    let parts = view.parts.iter();
    let parts = parts.flat_map(|part| std::iter::once(&part.art).chain(part.replacements.values()));
    let seams = view.seams.iter().flat_map(|seam| {
        let zone = match seam.zone {
            Zone::Art(zone) => Some(zone),
            _ => None,
        };
        zone.into_iter().chain(seam.patch)
    });
    for art in parts.copied().filter_map(Drawing::art).chain(seams) {
        stamp.digest(&drawings[art.at()]);
    }
    stamp.done()
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
    let mut watched = first_folders(input);
    loop {
        // Looked at before they are read: no save falls between.
        if let Err(error) = eyes.look_at(&watched) {
            return refused(&console, &error);
        }
        once(&mut made);
        // What cannot be read hides folders that were read before: they stay watched.
        let read = folders(input, &made.read);
        if !read.is_subset(&eyes.folders) {
            watched.extend(read);
            continue;
        }
        // The folder of what is made may be new.
        let out = out.canonicalize();
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

/// The folders that a command will read from.
fn first_folders(input: &InputArgs) -> BTreeSet<PathBuf> {
    let members = Members::read(input);
    let read = members.sources.iter().map(|source| source.path.clone());
    folders(input, &read.collect())
}

/// The folders of what was typed and read. Files are not watched themselves: many editors put a new one in the place
/// of the old.
fn folders(input: &InputArgs, read: &BTreeSet<PathBuf>) -> BTreeSet<PathBuf> {
    let typed = [&input.rig].into_iter().chain(&input.more);
    let all: BTreeSet<&Path> = read
        .iter()
        .chain(typed)
        .filter_map(|path| {
            if path.is_dir() {
                Some(&**path)
            } else {
                path.parent()
            }
        })
        .collect();
    let all = all.into_iter().filter_map(|folder| {
        let here = folder.as_os_str().is_empty();
        if here { Path::new(".") } else { folder }
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
