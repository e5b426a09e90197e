//! Units from a plan: what each is called and what it depends on.

use std::ops::Range;

use rayon::prelude::*;

use super::depends::ViewDigest;
use super::depends_sheets::{self as papers, Shown};
use super::digest::{Digest, Stamp};
use super::plan::{Night, Task, Unit, view_of};
use super::unit::{Key, Kind};
use crate::batch::{self, Framing, MemberKind, PictureStyle, Purpose};
use crate::cast::{Pose, PoseList};
use crate::compare::ENGINE;
use crate::name::Name;

/// What all units are made from.
struct Draft<'a> {
    night: &'a Night,
    views: Vec<ViewDigest>,
    style: Digest,
}

impl Night {
    /// All units, in the order they are told of.
    pub(super) fn all_units(&self) -> Vec<Unit> {
        let models = self.plan.models.par_iter().zip(&self.owners);
        let draft = Draft {
            night: self,
            views: models
                .map(|(model, &owner)| ViewDigest::new(model, &self.members[owner].drawings))
                .collect(),
            style: style_of_pictures(&self.style.picture),
        };
        let count = self.plan.sections.len();
        let of_lists: Vec<(Vec<Unit>, Vec<Unit>)> = (0..count)
            .into_par_iter()
            .filter(|&at| self.plan.sections[at].purpose == Purpose::List)
            .map(|at| draft.of_list(at))
            .collect();
        let mut units = Vec::new();
        let mut sheets = Vec::new();
        for (pictures, mut own) in of_lists {
            units.extend(pictures);
            sheets.append(&mut own);
        }
        units.append(&mut sheets);
        units.extend(self.specials().into_iter().map(|s| draft.special(s)));
        units.extend((0..self.plan.models.len()).filter_map(|model| draft.check(model)));
        let members: Vec<usize> = (0..self.members.len()).collect();
        let comparisons: Vec<Option<Unit>> = members
            .par_iter()
            .map(|&member| draft.comparison(member))
            .collect();
        units.extend(comparisons.into_iter().flatten());
        units
    }

    /// Sections that make sheets together: the views of a turnaround, the members of a line-up.
    fn specials(&self) -> Vec<Range<usize>> {
        let sections = &self.plan.sections;
        let mut all: Vec<Range<usize>> = Vec::new();
        for (at, section) in sections.iter().enumerate() {
            if section.purpose == Purpose::List {
                continue;
            }
            let joins = all.last().is_some_and(|last| {
                let before = &sections[last.start];
                let one_member = self.owners[before.model] == self.owners[section.model];
                last.end == at
                    && before.purpose == section.purpose
                    && match section.purpose {
                        Purpose::Sheet(MemberKind::LineUp) => true,
                        Purpose::Sheet(MemberKind::Turnaround) => one_member,
                        Purpose::Declared => one_member && batch::one_sheet(before, section),
                        _ => false,
                    }
            });
            match all.last_mut() {
                Some(last) if joins => last.end = at + 1,
                _ => all.push(at..at + 1),
            }
        }
        all
    }
}

impl Draft<'_> {
    fn digest(&self, model: usize, pose: &Pose) -> Digest {
        let night = self.night;
        let drawings = &night.members[night.owners[model]].drawings;
        self.views[model].pose(night.plan.models[model].view(), pose, drawings)
    }

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

    /// The pictures and the usual sheets of a pose list.
    fn of_list(&self, at: usize) -> (Vec<Unit>, Vec<Unit>) {
        let section = &self.night.plan.sections[at];
        let model = &self.night.plan.models[section.model];
        let framing = self.night.style.picture.framing;
        let viewport = framing.viewport(model.member.canvas);
        let pixels = f64::from(viewport.width) * f64::from(viewport.height);
        let mut pictures = Vec::new();
        let mut posed = Vec::new();
        for (place, pose) in section.poses().enumerate() {
            let digest = self.digest(section.model, pose);
            let mut stamp = Stamp::new("picture");
            stamp.digest(&self.style);
            stamp.digest(&digest);
            posed.push(digest);
            let task = Task::Picture {
                section: at,
                pose: place,
            };
            let name = (section.name.pose(&pose.name), None);
            let models = vec![section.model];
            let mut unit = self.unit(Kind::Picture, name, stamp.done(), task, models);
            unit.guess = 500.0 + pixels * 0.008;
            pictures.push(unit);
        }
        let steps = section.sweeps().flat_map(|(_, poses)| poses);
        let swept: Vec<Digest> = steps.map(|p| self.digest(section.model, p)).collect();
        let overlaid = posed.len() > 1 || section.sweeps().any(|(_, poses)| poses.len() > 1);
        let mut sheets = Vec::new();
        for (kind, word, any) in [
            (batch::Kind::Pose, "poses", !posed.is_empty()),
            (batch::Kind::Range, "sweeps", !swept.is_empty()),
            (batch::Kind::Onion, "overlays", overlaid),
        ] {
            if !any || batch::is_asked(&self.night.plan, section, kind) {
                continue;
            }
            let figures: Vec<&Digest> = match kind {
                batch::Kind::Pose => posed.iter().collect(),
                batch::Kind::Range => swept.iter().collect(),
                batch::Kind::Onion => posed.iter().chain(&swept).collect(),
            };
            let shown = match kind {
                batch::Kind::Pose => Shown::Poses,
                batch::Kind::Range => Shown::Sweeps,
                batch::Kind::Onion => Shown::Both,
            };
            let mut stamp = Stamp::new(word);
            self.paper(&mut stamp, &[at], shown, &figures);
            let task = Task::List { section: at, kind };
            let name = (section.name.clone(), Some(word));
            let mut unit = self.unit(Kind::Sheet, name, stamp.done(), task, vec![section.model]);
            let each = if kind == batch::Kind::Onion {
                40_000.0
            } else {
                12_000.0
            };
            unit.guess = 150_000.0 + figures.len() as f64 * each;
            sheets.push(unit);
        }
        (pictures, sheets)
    }

    /// The sheets of sections that no list shows as it is.
    fn special(&self, sections: Range<usize>) -> Unit {
        let plan = &self.night.plan;
        let all: Vec<usize> = sections.clone().collect();
        let mut models: Vec<usize> = all.iter().map(|&at| plan.sections[at].model).collect();
        models.sort_unstable();
        models.dedup();
        let mut figures = Vec::new();
        for section in &plan.sections[sections.clone()] {
            let poses = section.all_poses();
            figures.extend(poses.into_iter().map(|p| self.digest(section.model, p)));
        }
        let mut stamp = Stamp::new("special");
        self.paper(
            &mut stamp,
            &all,
            Shown::Both,
            &figures.iter().collect::<Vec<_>>(),
        );
        let first = &plan.sections[sections.start];
        let model = &plan.models[first.model];
        let name = match first.purpose {
            Purpose::Sheet(MemberKind::LineUp) => {
                stamp.text(&self.night.cast);
                (Name::default(), Some(MemberKind::LineUp.name()))
            }
            Purpose::Sheet(kind @ MemberKind::Turnaround) => {
                (Name::new(&model.member.key, None), Some(kind.name()))
            }
            Purpose::Sheet(kind) => (view_of(model), Some(kind.name())),
            Purpose::Declared | Purpose::List => {
                let mut list = first.name.clone();
                list.sheet = None;
                (list, first.name.sheet.as_deref())
            }
        };
        let count = figures.len();
        let mut unit = self.unit(
            Kind::Sheet,
            name,
            stamp.done(),
            Task::Special(sections),
            models,
        );
        if first.purpose == Purpose::Sheet(MemberKind::LineUp) {
            unit.member = None;
        }
        unit.guess = 150_000.0 + count as f64 * 20_000.0;
        unit
    }

    /// Of sheets of these sections: their figures, and all that is written on them.
    fn paper(&self, stamp: &mut Stamp, sections: &[usize], shown: Shown, figures: &[&Digest]) {
        let plan = &self.night.plan;
        stamp.text(ENGINE);
        papers::pages(stamp, &self.night.style.pages);
        stamp.count(sections.len());
        for &at in sections {
            let section = &plan.sections[at];
            papers::section(stamp, section, &plan.models[section.model], shown);
        }
        stamp.count(figures.len());
        figures.iter().for_each(|figure| stamp.digest(figure));
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
        let name = (view_of(model), None);
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
        let set = night.style.approved(&subject.member);
        // Without a set there is nothing to compare with, whatever the poses are.
        let approved = papers::approved(&mut stamp, &set, night.style.verify);
        if approved {
            stamp.count(usize::from(night.style.picture.grow));
            papers::recorded(&mut stamp, &night.plan, &models);
            for at in sections {
                let section = &night.plan.sections[at];
                stamp.text(&section.name.to_string());
                for pose in section.poses() {
                    papers::compared(&mut stamp, pose, section, &night.plan.models[section.model]);
                    stamp.digest(&self.digest(section.model, pose));
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
