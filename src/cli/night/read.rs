//! A cast read, and everything planned.

use std::path::Path;

use super::args::NightArgs;
use crate::build::night::{self, Night, Style};
use crate::build::{self, Pages, PictureStyle, on_threads};
use crate::cli::console::Console;
use crate::cli::exit::Faults;
use crate::diag::{Place, Problem, Problems, Sources};
use crate::project::Roster;

/// What a cast asks for, and what is wrong with its own file.
pub(super) struct Planned {
    pub night: Night,
    pub sources: Sources,
    pub problems: Problems,
}

/// Reads a cast, or one member, and plans. Nothing is told.
pub(super) fn plan(typed: &NightArgs, cast: &Path, threads: usize) -> Planned {
    let mut sources = Sources::default();
    let mut problems = Problems::default();
    let roster = Roster::read(cast, &mut sources, &mut problems);
    let mut name = roster.cast.unwrap_or_default();
    let style = Style {
        picture: PictureStyle {
            framing: typed.framing.resolved(),
            background: typed.background.0,
            owners: false,
            grow: typed.growing.grow,
        },
        pages: Pages::default(),
        approved: typed.approved.clone(),
        verify: typed.verify,
    };
    let base = if cast.is_dir() {
        cast
    } else {
        cast.parent().unwrap_or(Path::new(""))
    };
    let mut night = on_threads(threads, || {
        let members = night::read(&roster.rigs, base);
        if name.is_empty()
            && let Some(first) = members.first()
        {
            name.clone_from(&first.key);
        }
        Night::new(name, members, style)
    });
    night.unread.extend(roster.unread);
    Planned {
        night,
        sources,
        problems,
    }
}

/// The same for this run. `None` when there is nothing to go on with; all is told then.
pub(super) fn read(
    typed: &NightArgs,
    threads: usize,
    console: &Console,
    faults: &mut Faults,
) -> Option<Night> {
    let Planned {
        night,
        sources,
        problems,
    } = plan(typed, &typed.cast, threads);
    for problem in problems.list() {
        console.problem(problem, &sources);
    }
    faults.input |= !problems.is_ok();
    for member in &night.members {
        for problem in member.problems.list() {
            console.problem(problem, &member.sources);
        }
        faults.input |= !member.problems.is_ok();
    }
    let mut grave = night.clashes();
    grave.extend(build::check_size(&night.plan, night.style.picture.framing).err());
    for problem in &grave {
        console.problem(problem, &Sources::default());
    }
    if !grave.is_empty() {
        faults.input = true;
        return None;
    }
    if night.units.is_empty() {
        if !faults.input {
            let problem = Problem::error(Place::Nowhere, "nothing is selected: there are no poses");
            console.problem(&problem, &sources);
        }
        faults.nothing = true;
        return None;
    }
    Some(night)
}
