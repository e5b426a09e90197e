//! Units from a plan: what each is called and what it depends on.

use rayon::prelude::*;

use super::depends::ViewDigest;
use super::depends_sheets as papers;
use super::digest::{Digest, Stamp};
use super::plan::{Night, Task, Unit};
use super::unit::{Key, Kind};
use crate::build::{Framing, PictureStyle, Purpose, SheetGroup};
use crate::cast::{Pose, PoseList, SheetKind};
use crate::compare::{ApprovedSet, ENGINE};
use crate::name::Name;

/// What all units are made from.
struct Draft<'a> {
    night: &'a Night,
    views: Vec<ViewDigest>,
    /// For each section of the plan those of its poses, of its sweeps' steps last.
    poses: Vec<Vec<Digest>>,
    style: Digest,
}

impl Night {
    /// All units, in the order they are told of.
    pub(super) fn all_units(&self) -> Vec<Unit> {
        let models = self.plan.models.par_iter().zip(&self.owners);
        let views: Vec<ViewDigest> = models
            .map(|(model, &owner)| ViewDigest::new(model, &self.members[owner].drawings))
            .collect();
        let sections = self.plan.sections.par_iter().map(|section| {
            let view = self.plan.models[section.model].view();
            let drawings = &self.members[self.owners[section.model]].drawings;
            let poses = section.all_poses().into_iter();
            let digests = poses.map(|pose| views[section.model].pose(view, pose, drawings));
            digests.collect()
        });
        let draft = Draft {
            night: self,
            poses: sections.collect(),
            views,
            style: style_of_pictures(&self.style.picture),
        };
        let lists = 0..self.plan.sections.len();
        let lists = lists.filter(|&at| self.plan.sections[at].purpose == Purpose::List);
        let mut units: Vec<Unit> = lists.flat_map(|at| draft.pictures(at)).collect();
        let sheets = self.plan.sheets(&SheetKind::OF_LISTS, false);
        units.extend(sheets.into_iter().map(|group| draft.sheet(group)));
        units.extend((0..self.plan.models.len()).filter_map(|model| draft.check(model)));
        let members: Vec<usize> = (0..self.members.len()).collect();
        let comparisons: Vec<Option<Unit>> = members
            .par_iter()
            .map(|&member| draft.comparison(member))
            .collect();
        units.extend(comparisons.into_iter().flatten());
        units
    }
}

impl Draft<'_> {
    fn unit(
        &self,
        kind: Kind,
        (of, sheet): (Name, Option<&str>),
        inputs: Digest,
        task: Task,
        models: Vec<usize>,
    ) -> Unit {
        let member = models.first().map(|&model| self.night.owners[model]);
        Unit {
            key: Key {
                kind,
                of,
                sheet: sheet.map(str::to_owned),
            },
            inputs,
            task,
            models,
            member,
            guess: 0.0,
        }
    }

    /// The pictures of a pose list.
    fn pictures(&self, at: usize) -> Vec<Unit> {
        let section = &self.night.plan.sections[at];
        let model = &self.night.plan.models[section.model];
        let framing = self.night.style.picture.framing;
        let viewport = framing.viewport(model.member.canvas);
        let pixels = f64::from(viewport.width) * f64::from(viewport.height);
        let poses = section.poses().zip(&self.poses[at]).enumerate();
        let unit = |(place, (pose, digest)): (usize, (&Pose, &Digest))| {
            let mut stamp = Stamp::new("picture");
            stamp.digest(&self.style);
            stamp.digest(digest);
            let task = Task::Picture {
                section: at,
                pose: place,
            };
            let name = (section.name.pose(&pose.name), None);
            let models = vec![section.model];
            let mut unit = self.unit(Kind::Picture, name, stamp.done(), task, models);
            unit.guess = 500.0 + pixels * 0.008;
            unit
        };
        poses.map(unit).collect()
    }

    /// Sheets: their figures, and all that is written on them.
    fn sheet(&self, group: SheetGroup) -> Unit {
        let plan = &self.night.plan;
        let kind = group.kind;
        let first = &plan.sections[group.sections[0]];
        // Of a list as it is a sheet may show a part.
        let [poses, sweeps] = match first.purpose {
            Purpose::List => kind.shows(),
            _ => [true, true],
        };
        let mut stamp = Stamp::new("sheet");
        stamp.text(kind.name());
        stamp.text(ENGINE);
        stamp.value(&self.night.style.pages);
        stamp.count(group.sections.len());
        let mut figures = 0;
        for &at in &group.sections {
            let section = &plan.sections[at];
            papers::section(
                &mut stamp,
                section,
                &plan.models[section.model],
                [poses, sweeps],
            );
            let (own, steps) = self.poses[at].split_at(section.poses.len());
            for shown in [own, steps]
                .into_iter()
                .zip([poses, sweeps])
                .filter(|(_, any)| *any)
            {
                figures += shown.0.len();
                stamp.count(shown.0.len());
                shown.0.iter().for_each(|figure| stamp.digest(figure));
            }
        }
        let model = &plan.models[first.model];
        let name = match first.purpose {
            Purpose::List => (first.name.clone(), Some(kind.spec().title)),
            Purpose::Declared => {
                let list = Name {
                    sheet: None,
                    ..first.name.clone()
                };
                (list, first.name.sheet.as_deref())
            }
            Purpose::Sheet(SheetKind::LineUp) => {
                stamp.text(&self.night.cast);
                (Name::default(), Some(kind.name()))
            }
            Purpose::Sheet(SheetKind::Turnaround) => {
                (Name::new(&model.member.key, None), Some(kind.name()))
            }
            Purpose::Sheet(_) => (model.name(), Some(kind.name())),
        };
        let mut models: Vec<usize> = group
            .sections
            .iter()
            .map(|&at| plan.sections[at].model)
            .collect();
        models.sort_unstable();
        models.dedup();
        let task = Task::Sheet(group);
        let mut unit = self.unit(Kind::Sheet, name, stamp.done(), task, models);
        if kind == SheetKind::LineUp {
            unit.member = None;
        }
        let each = match kind {
            SheetKind::Onion => 40_000.0,
            SheetKind::Pose | SheetKind::Range => 12_000.0,
            _ => 20_000.0,
        };
        unit.guess = 150_000.0 + figures as f64 * each;
        unit
    }

    fn check(&self, at: usize) -> Option<Unit> {
        let night = self.night;
        let model = &night.plan.models[at];
        let lists: Vec<&PoseList> = night
            .lists_of(at)
            .map(|section| &*night.plan.sections[section].list)
            .collect();
        // Without poses there is nobody who says what the view is for.
        if lists.is_empty() {
            return None;
        }
        let drawings = &night.members[night.owners[at]].drawings;
        let mut stamp = Stamp::new("check");
        stamp.digest(self.views[at].frame());
        papers::checked(&mut stamp, model, &lists, drawings);
        let name = (model.name(), None);
        let mut unit = self.unit(Kind::Check, name, stamp.done(), Task::Check(at), vec![at]);
        unit.guess = 20_000.0 * model.view().parts.len() as f64;
        Some(unit)
    }

    fn comparison(&self, member: usize) -> Option<Unit> {
        let night = self.night;
        let models = night.models_of(member);
        let subject = night.members[member].subject.as_ref()?;
        let sections = models.iter().flat_map(|&model| night.lists_of(model));
        let sections: Vec<usize> = sections.collect();
        let all = sections
            .iter()
            .map(|&at| night.plan.sections[at].poses.len());
        let poses: usize = all.sum();
        if poses == 0 {
            return None;
        }
        let mut stamp = Stamp::new("comparison");
        stamp.count(poses);
        let set = ApprovedSet::place(&subject.member, night.style.approved.as_deref());
        // Without a set there is nothing to compare with, whatever the poses are.
        let approved = papers::approved(&mut stamp, &set, night.style.verify);
        if approved {
            stamp.count(usize::from(night.style.picture.grow));
            papers::recorded(&mut stamp, &night.plan, &models);
            for at in sections {
                let section = &night.plan.sections[at];
                stamp.text(&section.name.to_string());
                for (pose, digest) in section.poses().zip(&self.poses[at]) {
                    papers::compared(&mut stamp, pose, section, &night.plan.models[section.model]);
                    stamp.digest(digest);
                }
            }
            for (name, why) in &night.unread {
                if name.member == subject.member.key {
                    stamp.text(&name.to_string());
                    stamp.text(why);
                }
            }
        }
        let key = (Name::new(&night.members[member].key, None), None);
        let task = Task::Comparison(member);
        let mut unit = self.unit(Kind::Comparison, key, stamp.done(), task, models);
        unit.guess = if approved {
            poses as f64 * 15_000.0
        } else {
            100.0
        };
        Some(unit)
    }
}

fn style_of_pictures(style: &PictureStyle) -> Digest {
    let PictureStyle {
        framing,
        background,
        owners,
        grow,
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
    stamp.count(usize::from(*grow));
    stamp.done()
}
