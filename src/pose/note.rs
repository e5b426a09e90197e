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
    /// An aim leaves this share of its drawn length, less than the rig allows.
    TooShort(f64),
    /// Its aim points at the viewer.
    AtViewer,
    /// It points at the viewer as it is drawn, so that its aim says nothing there.
    DrawnAtViewer,
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
        let drawing = "say it otherwise in [pose.name.view.side], or draw a replacement and name it in \"foreshortened\" of the part";
        let (message, hint) = match self.told {
            Told::TooShort(share) => (
                format!(
                    "{name} is seen at {share:.2} of its length and needs a drawing of its own{within}"
                ),
                drawing,
            ),
            Told::AtViewer => (format!("{name} points at the viewer{within}"), drawing),
            Told::DrawnAtViewer => (
                format!(
                    "{name} points at the viewer as it is drawn{within}, so its aim does nothing"
                ),
                "leave it out there, or write \"drawn\" of the part as the view draws it",
            ),
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
