//! What a check gives: findings, and what each joint can do.

use super::range::Curve;
use crate::cast::Measure;
use crate::diag::{Problem, Severity, Span};
use crate::geom::{Circle, Point};
use crate::pose::ResolvedPose;

/// Something that a person should look at.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What was measured.
    pub measure: Measure,
    /// Beyond the error limit, or only beyond the warning limit.
    pub severity: Severity,
    /// The parts that it is about, the part whose limits apply first.
    pub parts: Vec<String>,
    /// Turns of joints in which it is worst, degrees; none at rest.
    pub turns: Vec<(String, f64)>,
    /// The pose whose depth order it takes, where it is not that of rest.
    pub order: Option<String>,
    /// What was measured, in the measure's unit.
    pub value: f64,
    /// The limit that it is beyond.
    pub limit: f64,
    /// In a sentence.
    pub message: String,
    /// What to do about it.
    pub hint: String,
    /// Where in the rig, or in a pose list.
    pub span: Option<Span>,
    /// The place on the posed canvas, if it has one.
    pub place: Option<Circle>,
    /// The pose that shows it.
    pub pose: ResolvedPose,
}

impl Finding {
    /// As a problem, for telling.
    #[must_use]
    pub fn problem(&self) -> Problem {
        let problem = match self.severity {
            Severity::Error => Problem::error(self.span, &self.message),
            Severity::Warning => Problem::warning(self.span, &self.message),
        };
        problem.hint(&self.hint)
    }
}

/// What one joint does over its limits.
#[derive(Clone, Debug)]
pub struct Range {
    /// The part that turns.
    pub part: String,
    /// The part that carries it.
    pub parent: String,
    /// The joint's limits, degrees.
    pub limits: [f64; 2],
    /// Width of the limb at the joint, units.
    pub width: f64,
    /// Where no measure is above its error limit, degrees; `None` when one is even at rest.
    pub safe: Option<[f64; 2]>,
    /// For each measure its curve and its limits.
    pub curves: Vec<(Measure, Curve, Option<[f64; 2]>)>,
}

/// All that was found on one view.
#[derive(Clone, Debug, Default)]
pub struct Findings {
    /// Errors and warnings, in the order of the rig.
    pub list: Vec<Finding>,
    /// Joints with limits, in the order of the rig.
    pub ranges: Vec<Range>,
}

/// A place to circle.
pub(super) fn around(centre: Point, radius: f64) -> Circle {
    Circle { centre, radius }
}
