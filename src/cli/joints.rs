//! `layfig joints`.

use clap::Args;
use serde_json::json;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::Exit;
use crate::cast::{Checked, Norm, Source, norms};
use crate::diag::{Place, Problem, Sources, nearest, quoted};

/// Arguments of `layfig joints`.
#[derive(Clone, Debug, Args)]
pub struct JointsArgs {
    /// Only these joints: elbow, knee, ...
    joint: Vec<String>,
}

/// Prints the published norms of human joints that a rig's limits can name.
#[must_use]
pub fn run(typed: &JointsArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let mut wrong = false;
    for name in &typed.joint {
        if !norms().iter().any(|n| n.joint == name) {
            wrong = true;
            let mut problem =
                Problem::error(Place::Nowhere, format!("unknown joint {}", quoted(name)));
            if let Some(near) = nearest(name, norms().iter().map(|n| n.joint)) {
                problem = problem.hint(format!("did you mean {}?", quoted(near)));
            }
            console.problem(&problem, &Sources::default());
        }
    }
    if wrong {
        return Exit::Input;
    }
    let wanted = |n: &&Norm| typed.joint.is_empty() || typed.joint.iter().any(|j| j == n.joint);
    let shown: Vec<&Norm> = norms().iter().filter(wanted).collect();
    let [joint, motion, source, group] = ["joint", "motion", "source", "group"];
    let line = |[joint, motion, source, group, degrees, checked]: [&str; 6]| {
        console.result(&format!(
            "{joint:<9} {motion:<18} {source:<7} {group:<8} {degrees:>7}  {checked}"
        ));
    };
    line([joint, motion, source, group, "degrees", "value"]);
    for n in &shown {
        let checked = match n.checked {
            Checked::Read => "read in the source",
            Checked::Memory => "from memory, not checked",
        };
        let degrees = n.degrees.to_string();
        line([
            n.joint,
            n.motion,
            n.source.name(),
            n.group,
            &degrees,
            checked,
        ]);
        console.object(|| {
            json!({ "norm": {
                "joint": n.joint,
                "motion": n.motion,
                "source": n.source.name(),
                "group": n.group,
                "degrees": n.degrees,
                "checked": n.checked == Checked::Read,
                "citation": n.source.citation(),
            }})
        });
    }
    console.result("");
    for source in [Source::Aaos, Source::Cdc] {
        console.result(&format!("{}: {}", source.name(), source.citation()));
    }
    console.result("For drawing. People differ, and this is no medical guidance.");
    Exit::Done
}
