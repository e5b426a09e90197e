//! What there is to tell of a pose that was solved.

use crate::cast::{Member, PartId, Pose, View};
use crate::diag::{Problem, Span, quoted};

/// Something to tell of a pose in a view.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// The part that it is about.
    pub part: PartId,
    /// The entry of the pose that asked for it; `None` for one that code says.
    pub span: Option<Span>,
    /// What there is to tell.
    pub told: Told,
}

/// What there is to tell.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// It ends this far from where it should be, units.
    OutOfReach(f64),
    /// What was solved turns it to so many degrees, outside its limits.
    Beyond(f64),
}

impl Note {
    /// The same in words, a warning where the pose says it.
    #[must_use]
    pub fn problem(&self, member: &Member, view: &View, pose: &Pose) -> Problem {
        let part = &view.parts[self.part.at()];
        let name = quoted(&member.names[part.name.at()]);
        let within = match &view.name {
            Some(view) if member.views.len() > 1 => format!(" in view {}", quoted(view)),
            _ => String::new(),
        };
        let (message, hint) = match self.told {
            Told::OutOfReach(left) => (
                format!("{name} ends {left:.1} units from where it should be{within}"),
                "move the target or what carries the limb, widen the limits of its joints, or allow it some \"stretch\"",
            ),
            Told::Beyond(turn) => {
                let limits = part.limits.unwrap_or([0.0, 0.0]);
                (
                    format!(
                        "what is solved turns {name} to {turn:.1}{within}, outside its limits, {} to {}",
                        limits[0], limits[1]
                    ),
                    "ask for less, or widen the limits in the rig",
                )
            }
        };
        let message = format!("pose {}: {message}", quoted(&pose.name));
        Problem::warning(self.span.or(pose.span), message).hint(hint)
    }
}
