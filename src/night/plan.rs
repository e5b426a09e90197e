//! The units of a night: all that a cast asks for, each with the digest of what it depends on.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::depends::{ENGINE, ViewDigest, swatches};
use super::digest::{Digest, Stamp};
use super::reading::ReadMember;
use super::store::{Known, Measured};
use super::unit::{Key, Kind};
use crate::batch::{self, Choice, Framing, Only, PictureStyle, Plan, Section, Views};
use crate::diag::Problem;
use crate::sheet::Look;

/// What pictures and pages look like.
#[derive(Clone, Debug)]
pub struct Style {
    /// Of the pictures.
    pub picture: PictureStyle,
    /// Of the pages.
    pub look: Look,
}

/// What a unit has to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// The picture of a pose, by its place in the section.
    Picture {
        /// By place in the plan.
        section: usize,
        /// By place among the section's chosen poses.
        pose: usize,
    },
    /// A section's sheet.
    Sheet {
        /// By place in the plan.
        section: usize,
        /// Of its sweeps, not of its poses.
        sweeps: bool,
    },
}

impl Task {
    /// The section it is about.
    #[must_use]
    pub const fn section(self) -> usize {
        match self {
            Self::Picture { section, .. } | Self::Sheet { section, .. } => section,
        }
    }
}

/// A unit of work.
#[derive(Clone, Debug)]
pub struct Unit {
    /// What it is called.
    pub key: Key,
    /// Of what it depends on.
    pub inputs: Digest,
    /// What it has to do.
    pub task: Task,
    /// What it will take, roughly, microseconds.
    pub guess: f64,
}

/// Everything a cast asks for.
#[derive(Debug)]
pub struct Night {
    /// The show's name.
    pub cast: String,
    /// Its members as far as they could be read.
    pub members: Vec<ReadMember>,
    /// Views and lists.
    pub plan: Plan,
    /// For each model of the plan its member's place.
    pub owners: Vec<usize>,
    /// What pictures and pages look like.
    pub style: Style,
    /// In the order they are told of.
    pub units: Vec<Unit>,
    /// Members, lists, poses and sweeps that cannot be made, and why.
    pub unread: Vec<(String, String)>,
}

impl Night {
    /// Plans all views, poses and sweeps of these members.
    #[must_use]
    pub fn new(cast: String, mut members: Vec<ReadMember>, style: Style) -> Self {
        let subjects: Vec<_> = members.iter().filter_map(|m| m.subject.clone()).collect();
        let choice = Choice {
            views: Views::All,
            only: Only::All,
            poses: Vec::new(),
        };
        let (mut plan, _) = Plan::new(&subjects, &choice);
        let mut unread: Vec<(String, String)> = members
            .iter_mut()
            .flat_map(|m| std::mem::take(&mut m.unread))
            .collect();
        unread.append(&mut plan.left_out);
        let by_key: BTreeMap<&str, usize> = members
            .iter()
            .enumerate()
            .map(|(at, m)| (m.key.as_str(), at))
            .collect();
        let owners: Vec<usize> = plan
            .models
            .iter()
            .map(|model| by_key[model.member.key.as_str()])
            .collect();
        let mut night = Self {
            cast,
            members,
            plan,
            owners,
            style,
            units: Vec::new(),
            unread,
        };
        night.units = night.all_units();
        night
    }

    fn all_units(&self) -> Vec<Unit> {
        let views: Vec<ViewDigest> = self
            .plan
            .models
            .iter()
            .zip(&self.owners)
            .map(|(model, &owner)| ViewDigest::new(model, &self.members[owner].drawings))
            .collect();
        let style = style_of_pictures(&self.style.picture);
        let mut pictures = Vec::new();
        let mut sheets = Vec::new();
        for (at, section) in self.plan.sections.iter().enumerate() {
            let model = &self.plan.models[section.model];
            let drawings = &self.members[self.owners[section.model]].drawings;
            let digest = |pose| views[section.model].pose(model.view(), pose, drawings);
            let viewport = self.style.picture.framing.viewport(model.member.canvas);
            let pixels = f64::from(viewport.width) * f64::from(viewport.height);
            let mut digests = Vec::new();
            for (place, pose) in section.poses().enumerate() {
                let posed = digest(pose);
                let mut stamp = Stamp::new("picture");
                stamp.digest(&style);
                stamp.digest(&posed);
                digests.push(posed);
                pictures.push(Unit {
                    key: Key {
                        kind: Kind::Picture,
                        name: format!("{}/{}", section.name, pose.name),
                    },
                    inputs: stamp.done(),
                    task: Task::Picture {
                        section: at,
                        pose: place,
                    },
                    guess: 500.0 + pixels * 0.008,
                });
            }
            let mut sheet = |sweeps: bool, digests: &[Digest]| {
                let sort = if sweeps { "sweeps" } else { "poses" };
                sheets.push(Unit {
                    key: Key {
                        kind: Kind::Sheet,
                        name: format!("{} {sort}", section.name),
                    },
                    inputs: self.sheet_digest(section, sweeps, digests),
                    task: Task::Sheet {
                        section: at,
                        sweeps,
                    },
                    guess: 150_000.0 + digests.len() as f64 * 12_000.0,
                });
            };
            if !digests.is_empty() {
                sheet(false, &digests);
            }
            let steps = section.sweeps().flat_map(|(_, poses)| poses);
            let swept: Vec<Digest> = steps.map(digest).collect();
            if !swept.is_empty() {
                sheet(true, &swept);
            }
        }
        pictures.append(&mut sheets);
        pictures
    }

    /// Of a sheet: its figures, and all that is written on it.
    fn sheet_digest(&self, section: &Section, sweeps: bool, figures: &[Digest]) -> Digest {
        let model = &self.plan.models[section.model];
        let member = &model.member;
        let mut stamp = Stamp::new("sheet");
        stamp.text(ENGINE);
        stamp.text(&format!("{:?}", self.style.look));
        stamp.text(&section.name);
        stamp.text(&section.list.key);
        stamp.text(&member.name);
        stamp.maybe(model.view_name(), Stamp::text);
        for number in [member.ground, member.crown, member.heads] {
            stamp.maybe(number, Stamp::number);
        }
        stamp.count(member.palettes.len());
        for palette in &member.palettes {
            stamp.text(&palette.name);
            swatches(&mut stamp, palette);
        }
        if sweeps {
            for (sweep, poses) in section.sweeps() {
                stamp.text(&sweep.name);
                stamp.maybe(sweep.note.as_deref(), Stamp::text);
                stamp.count(sweep.axes.len());
                for axis in &sweep.axes {
                    stamp.text(&member.names[axis.part.at()]);
                    stamp.count(axis.angles.len());
                    stamp.numbers(&axis.angles);
                }
                labels(&mut stamp, &poses);
            }
        } else {
            labels(&mut stamp, &section.poses().collect::<Vec<_>>());
        }
        // How many there would be without errors is written on it.
        let left_out = section.list.left_out.iter();
        stamp.count(left_out.filter(|entry| entry.sweep == sweeps).count());
        figures.iter().for_each(|figure| stamp.digest(figure));
        stamp.done()
    }

    /// Of all that is asked for: what tells one night's inputs from another's.
    #[must_use]
    pub fn inputs(&self) -> Digest {
        let mut stamp = Stamp::new("night");
        for unit in &self.units {
            stamp.text(&unit.key.to_string());
            stamp.digest(&unit.inputs);
        }
        stamp.count(self.unread.len());
        for (name, why) in &self.unread {
            stamp.text(name);
            stamp.text(why);
        }
        stamp.done()
    }

    /// Problems for every two units that would write the same file.
    #[must_use]
    pub fn clashes(&self) -> Vec<Problem> {
        let files: Vec<(String, Vec<PathBuf>)> = self
            .units
            .iter()
            .map(|unit| (unit.key.to_string(), vec![self.file(unit)]))
            .collect();
        batch::clashes(
            files
                .iter()
                .map(|(name, files)| (name.as_str(), &files[..])),
        )
    }

    /// The file of a unit, below the output folder; of a sheet what its pages would be called if it
    /// had but one.
    #[must_use]
    pub fn file(&self, unit: &Unit) -> PathBuf {
        let section = &self.plan.sections[unit.task.section()];
        match unit.task {
            Task::Picture { pose, .. } => {
                let pose = &section.list.poses[section.poses[pose]];
                let file = format!("{}.png", batch::file_name(&pose.name));
                section.folder.join(file)
            }
            Task::Sheet { sweeps, .. } => {
                let sort = if sweeps { "sweeps" } else { "sheet" };
                let file = format!("{}.{sort}.png", batch::file_name(&section.list.key));
                section.folder.parent().unwrap_or(Path::new("")).join(file)
            }
        }
    }

    /// The member that a unit is about, by place.
    #[must_use]
    pub fn member(&self, unit: &Unit) -> usize {
        self.owners[self.model(unit)]
    }

    /// The model that a unit shows, by place in the plan.
    #[must_use]
    pub fn model(&self, unit: &Unit) -> usize {
        self.plan.sections[unit.task.section()].model
    }

    /// Makes guesses what was measured.
    pub fn weigh(&mut self, measured: &BTreeMap<Key, Measured>) {
        for unit in &mut self.units {
            if let Some(it) = measured.get(&unit.key) {
                unit.guess = it.us as f64;
            }
        }
    }

    /// For each unit whether what is known of it still holds.
    #[must_use]
    pub fn fresh(&self, known: &BTreeMap<Key, Known>, out: &Path, verify: bool) -> Vec<bool> {
        use rayon::prelude::*;
        self.units
            .par_iter()
            .map(|unit| {
                known.get(&unit.key).is_some_and(|known| {
                    known.record.inputs == unit.inputs && known.is_sound(out, verify)
                })
            })
            .collect()
    }
}

fn labels(stamp: &mut Stamp, poses: &[&crate::cast::Pose]) {
    stamp.count(poses.len());
    for pose in poses {
        stamp.text(&pose.name);
        stamp.maybe(pose.note.as_deref(), Stamp::text);
        stamp.count(pose.palette);
    }
}

fn style_of_pictures(style: &PictureStyle) -> Digest {
    let PictureStyle {
        framing,
        background,
        owners,
    } = style;
    let mut stamp = Stamp::new("style");
    match *framing {
        Framing::Scale(scale) => {
            stamp.count(0);
            stamp.number(scale);
        }
        Framing::Width(width) => {
            stamp.count(1);
            stamp.count(width as usize);
        }
        Framing::Height(height) => {
            stamp.count(2);
            stamp.count(height as usize);
        }
        Framing::Size(width, height) => {
            stamp.count(3);
            stamp.count(width as usize);
            stamp.count(height as usize);
        }
    }
    stamp.maybe(*background, |stamp, rgb| stamp.bytes(&rgb.0));
    stamp.count(usize::from(*owners));
    stamp.done()
}

/// The order to do units in: views whose heaviest unit is heavy come first, and in each the heavy
/// first. So the last units are light ones, and few views are at work at a time.
#[must_use]
pub fn heavy_first(night: &Night, units: &[usize]) -> Vec<usize> {
    let mut heaviest: BTreeMap<usize, f64> = BTreeMap::new();
    for &at in units {
        let unit = &night.units[at];
        let most = heaviest.entry(night.model(unit)).or_insert(0.0);
        *most = most.max(unit.guess);
    }
    let mut order = units.to_vec();
    let rank = |at: usize| {
        let unit = &night.units[at];
        let model = night.model(unit);
        (heaviest[&model], model, unit.guess)
    };
    order.sort_by(|&a, &b| {
        let ((heavy_a, model_a, guess_a), (heavy_b, model_b, guess_b)) = (rank(a), rank(b));
        heavy_b
            .total_cmp(&heavy_a)
            .then(model_a.cmp(&model_b))
            .then(guess_b.total_cmp(&guess_a))
            .then(a.cmp(&b))
    });
    order
}
