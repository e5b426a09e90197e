//! Why a pose has no figure.

use super::figure::Figure;
use super::model::{Model, Puppet};
use crate::art::ArtId;
use crate::cast::{PartId, Pose, Side};
use crate::diag::Problem;
use crate::pose::{ResolvedPose, rules};

/// Why a pose has no figure.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SolveError {
    /// It is not of this view of this member.
    #[error("the pose is of another view or member")]
    Foreign,
    /// These of its depth rules, by place, make a loop.
    #[error("the pose contradicts itself: no depth order keeps its rules")]
    Loop(Vec<usize>),
    /// This part leaves the picture by so far that it is a mistake.
    #[error("the pose throws a part out of reach")]
    OutOfReach(PartId),
    /// A drawing cannot take the colours of the palette.
    #[error("a drawing cannot take the colours of the palette: {why}")]
    Colours {
        /// What shows it.
        part: PartId,
        /// The drawing.
        drawing: ArtId,
        /// Why.
        why: String,
    },
}

impl Puppet {
    /// The figure in a pose as a list says it.
    ///
    /// # Errors
    ///
    /// As for [`solve`](Self::solve), in words that name the pose, at the places that say it.
    pub fn figure(&self, pose: &Pose) -> Result<Figure, Problem> {
        let model = &self.0;
        if !pose.fits(&model.member) {
            return Err(SolveError::Foreign.problem(model, pose));
        }
        let pose = &*pose.in_view(model.view().name.as_deref());
        let solved = self.solve(&ResolvedPose::new(pose, model.view()));
        solved.map_err(|error| error.problem(model, pose))
    }
}

impl SolveError {
    fn problem(&self, model: &Model, pose: &Pose) -> Problem {
        let (name, span) = (&pose.name, pose.span);
        match self {
            Self::Foreign => {
                let message = format!("pose \"{name}\" sets parts that this member has not");
                Problem::error(span, message).hint("read the pose for this member")
            }
            Self::Loop(met) => contradiction(model, pose, met),
            Self::OutOfReach(part) => {
                let part = model.name(*part);
                let message = format!("pose \"{name}\" throws part \"{part}\" out of reach");
                let hint = "look for a very large move, scale or skew on it or on what carries it";
                Problem::error(span, message).hint(hint)
            }
            Self::Colours { part, drawing, why } => {
                let message = format!(
                    "\"{}\" cannot be drawn in palette \"{}\", which pose \"{name}\" has: {why}",
                    model.art[drawing.at()].id,
                    model.member.palettes[pose.palette].name,
                );
                let hint = "something that is no colour is written like one of the palette's";
                Problem::error(model.part(*part).span, message).hint(hint)
            }
        }
    }
}

/// Depth rules of a pose, by place, that make a loop.
fn contradiction(model: &Model, pose: &Pose, met: &[usize]) -> Problem {
    let all: Vec<_> = rules(pose, model.view()).collect();
    let said: Vec<_> = met
        .iter()
        .map(|&at| {
            let (entry, rule) = all[at];
            let side = match rule.side {
                Side::Behind => "behind",
                Side::InFront => "in front of",
            };
            let words = format!("{} {side} {}", model.name(rule.part), model.name(rule.of));
            (entry.span, words)
        })
        .collect();
    let words: Vec<&str> = said.iter().map(|(_, words)| words.as_str()).collect();
    let list = words.join(", ");
    let message = format!("pose \"{}\" contradicts itself: {list}", pose.name);
    let mut problem = Problem::error(said[0].0, message)
        .hint("each of these goes with all that the part carries; leave one out");
    for (span, words) in said.iter().skip(1) {
        if let Some(span) = span {
            problem = problem.also(*span, words);
        }
    }
    problem
}
