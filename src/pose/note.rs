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
    /// What was solved, and what the pose says itself, turn it to so many degrees, outside its limits.
    Beyond(f64),
    /// An aim leaves this share of its drawn length, less than the rig allows.
    TooShort(f64),
    /// Its aim points at the viewer.
    AtViewer,
    /// It points at the viewer as it is drawn, so that its aim says nothing there.
    DrawnAtViewer,
    /// It lies by so many degrees otherwise than the angle that it should keep.
    OffAngle(f64),
    /// It should go to something that this view does not show.
    NoTarget(String),
    /// It turns along with a look in no view that does not say `facing`.
    NoFacing,
    /// Another part's reach, planted or not, turns what turns for it.
    Shared(PartId),
    /// Each of these, the first being this one, waits for where the next one goes.
    Circle(Vec<PartId>),
}

impl Note {
    /// The same in words, a warning where the pose says it; what cannot be solved at all is an error.
    #[must_use]
    pub fn problem(&self, member: &Member, view: &View, pose: &Pose) -> Problem {
        let name = |id: PartId| quoted(&member.names[view.parts[id.at()].name.at()]);
        let own = name(self.part);
        let within = match &view.name {
            Some(view) if member.views.len() > 1 => format!(" in view {}", quoted(view)),
            _ => String::new(),
        };
        let drawing = "say it otherwise in [pose.name.view.side], or draw a replacement and name it in \"foreshortened\" of the part";
        let (message, hint) = match &self.told {
            Told::TooShort(share) => (
                format!(
                    "{own} is seen at {share:.2} of its length and needs a drawing of its own{within}"
                ),
                drawing,
            ),
            Told::AtViewer => (format!("{own} points at the viewer{within}"), drawing),
            Told::DrawnAtViewer => (
                format!(
                    "{own} points at the viewer as it is drawn{within}, so its aim does nothing"
                ),
                "leave it out there, or write \"drawn\" of the part as the view draws it",
            ),
            Told::OutOfReach(left) => (
                format!("{own} ends {left:.1} units from where it should be{within}"),
                "move what carries it or what it goes to, widen limits, or allow it some \"stretch\"",
            ),
            Told::Beyond(turn) => {
                let limits = view.parts[self.part.at()].limits.unwrap_or_default();
                (
                    format!(
                        "{own} comes to a turn of {turn:.1}{within}, outside its limits, {} to {}",
                        limits[0], limits[1]
                    ),
                    "turns that a pose says add to what is solved: leave it out, or widen the limits in the rig",
                )
            }
            Told::OffAngle(off) => (
                format!("{own} is {off:.1} degrees off the angle that it should keep{within}"),
                "its limits stop it: move the body less, or widen them in the rig",
            ),
            Told::NoTarget(text) => (
                format!("{own} goes to {}, which is not there{within}", quoted(text)),
                "say for that view where it goes, or write false there",
            ),
            Told::NoFacing => (
                format!(
                    "{own} cannot turn along with a look{within}: the view does not say \"facing\""
                ),
                "write facing = 90 of the view in the rig, degrees turned from the viewer",
            ),
            Told::Shared(other) => (
                format!(
                    "{own} takes along what {} turns{within}, and comes second",
                    name(*other)
                ),
                "name other parts with \"chain\", or leave one of the two out",
            ),
            Told::Circle(ring) if ring.len() == 1 => (
                format!("{own} goes to something that it carries along itself{within}"),
                "name a target that its own limb does not carry",
            ),
            Told::Circle(ring) => {
                let names = ring.iter().chain(ring.first()).map(|id| name(*id));
                let way = names.collect::<Vec<_>>().join(" -> ");
                (
                    format!("the ends of limbs wait for each other{within}: {way}"),
                    "give one of them another target",
                )
            }
        };
        let message = format!("pose {}: {message}", quoted(&pose.name));
        let span = self.span.or(pose.span);
        let problem = match self.told {
            Told::Circle(_) => Problem::error(span, message),
            _ => Problem::warning(span, message),
        };
        problem.hint(hint)
    }

    /// The same for digests.
    #[must_use]
    pub fn words(&self) -> String {
        let part = self.part.at();
        match &self.told {
            Told::OutOfReach(left) => format!("{part} out of reach {left}"),
            Told::Beyond(turn) => format!("{part} beyond {turn}"),
            Told::OffAngle(off) => format!("{part} off angle {off}"),
            Told::NoTarget(text) => format!("{part} no target {text}"),
            Told::TooShort(share) => format!("{part} too short {share}"),
            Told::AtViewer => format!("{part} at viewer"),
            Told::DrawnAtViewer => format!("{part} drawn at viewer"),
            Told::NoFacing => format!("{part} no facing"),
            Told::Shared(other) => format!("{part} shared {}", other.at()),
            Told::Circle(ring) => {
                let ring: Vec<String> = ring.iter().map(|id| id.at().to_string()).collect();
                format!("{part} circle {}", ring.join(" "))
            }
        }
    }
}
