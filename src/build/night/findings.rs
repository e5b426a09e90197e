//! What sheets, checks and comparisons find, each in a line. Places in files are left out: what is
//! found stays true when lines move.

use super::unit::{Level, NightFinding};
use crate::check;
use crate::compare::{Comparison, PoseComparison, SetState, State};
use crate::diag::{Problem, Severity};

/// A landmark that drifts between views.
pub fn drift(problem: &Problem) -> NightFinding {
    NightFinding {
        level: Level::Error,
        text: problem.message.clone(),
    }
}

/// A figure that its picture cuts off.
pub fn cut_off(problem: &Problem) -> NightFinding {
    NightFinding {
        level: Level::Warning,
        text: problem.message.clone(),
    }
}

/// What a check found on a joint, a seam, a mask.
pub fn of_joint(finding: &check::Finding) -> NightFinding {
    NightFinding {
        level: match finding.severity {
            Severity::Error => Level::Error,
            Severity::Warning => Level::Warning,
        },
        text: finding.message.clone(),
    }
}

/// A member without an approved set. It waits for a person and is no difference.
pub fn not_yet_approved(poses: usize) -> NightFinding {
    NightFinding {
        level: Level::Warning,
        text: format!(
            "not yet approved: {}; layfig approve makes the first set",
            counted(poses)
        ),
    }
}

fn counted(poses: usize) -> String {
    format!("{poses} pose{}", if poses == 1 { "" } else { "s" })
}

/// What a person must look at, a line for each pose.
pub fn of_comparison(comparison: &Comparison) -> Vec<NightFinding> {
    let mut all = Vec::new();
    if comparison.set == SetState::Damaged {
        all.extend(comparison.remarks.iter().map(|remark| NightFinding {
            level: Level::Error,
            text: remark.clone(),
        }));
    }
    let asking = comparison.poses.iter().filter(|pose| pose.state.asks());
    all.extend(asking.map(|pose| NightFinding {
        level: Level::Error,
        text: pose_line(comparison, pose),
    }));
    all
}

fn pose_line(comparison: &Comparison, pose: &PoseComparison) -> String {
    let state = match pose.state {
        State::Identical => "identical",
        State::Within => "within its thresholds",
        State::Differs => "differs",
        State::New => "new, not in the approved set",
        State::NotYetApproved => "not yet approved",
        State::Missing => "approved, but it could not be drawn",
        State::Removed => "approved, but in no pose list any more",
    };
    let mut line = format!("{} {state}", pose.pose);
    if let Some(figures) = &pose.figures {
        line += &format!(", {} px", figures.changed);
    }
    let cause = pose.causes.first();
    if let Some(cause) = cause.and_then(|c| comparison.causes.get(c.cause)) {
        line += &format!(": {} ({})", cause.subject, cause.text);
        let more = pose.causes.len() - 1;
        if more > 0 {
            line += &format!(" and {more} more");
        }
    } else if let Some(reason) = &pose.reason {
        line += &format!(": {reason}");
    }
    line
}
