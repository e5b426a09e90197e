//! A night as JUnit XML: what continuous integration reads.

use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};

use super::summary::{State, Summary, UnitSummary};
use super::unit::{Level, NightFinding};

/// The report: a suite for each member, a case for each unit. It tells no times, so that the same
/// night gives the same report.
///
/// # Errors
///
/// Never for a summary; the writer's own errors are passed on.
pub fn junit(summary: &Summary) -> Result<String, quick_junit::SerializeError> {
    let mut report = Report::new(format!("night of {}", summary.cast));
    for member in &summary.members {
        let mut suite = TestSuite::new(&member.member);
        if !member.problems.is_empty() {
            let lines: Vec<&str> = member.problems.iter().map(|p| p.text.as_str()).collect();
            let grave = member.problems.iter().any(|p| p.level == Level::Error);
            let status = if grave {
                failure(
                    NonSuccessKind::Failure,
                    "its files have errors",
                    &lines.join("\n"),
                )
            } else {
                TestCaseStatus::success()
            };
            let mut case = TestCase::new("files", status);
            case.set_classname(&member.member);
            if !grave {
                case.set_system_out(lines.join("\n"));
            }
            suite.add_test_case(case);
        }
        for unit in &member.units {
            suite.add_test_case(case(unit, &member.member));
        }
        report.add_test_suite(suite);
    }
    if !summary.all.is_empty() {
        let mut suite = TestSuite::new(WHOLE);
        for unit in &summary.all {
            suite.add_test_case(case(unit, WHOLE));
        }
        report.add_test_suite(suite);
    }
    let mut unread = TestSuite::new("not read");
    for (name, why) in &summary.unread {
        let mut case = TestCase::new(name, failure(NonSuccessKind::Failure, why, why));
        case.set_classname("not read");
        unread.add_test_case(case);
    }
    if unread.tests > 0 {
        report.add_test_suite(unread);
    }
    report.to_string()
}

/// The suite of what shows the whole cast.
const WHOLE: &str = "whole cast";

fn case(unit: &UnitSummary, suite: &str) -> TestCase {
    let mut case = TestCase::new(unit.key.to_string(), status(unit));
    case.set_classname(suite);
    let warnings = unit.findings.iter().filter(|f| f.level == Level::Warning);
    let lines: Vec<&str> = warnings.map(|f| f.text.as_str()).collect();
    if !lines.is_empty() {
        case.set_system_out(lines.join("\n"));
    }
    case
}

fn status(unit: &UnitSummary) -> TestCaseStatus {
    let why = unit.why.as_deref().unwrap_or("it was not made");
    match unit.state {
        State::Failed => failure(NonSuccessKind::Error, why, why),
        State::Refused => failure(NonSuccessKind::Failure, why, why),
        State::Changed | State::New | State::Same => {
            let grave: Vec<&NightFinding> = unit
                .findings
                .iter()
                .filter(|f| f.level == Level::Error)
                .collect();
            match &grave[..] {
                [] => TestCaseStatus::success(),
                [first, ..] => {
                    let lines: Vec<&str> = grave.iter().map(|f| f.text.as_str()).collect();
                    failure(NonSuccessKind::Failure, &first.text, &lines.join("\n"))
                }
            }
        }
    }
}

fn failure(kind: NonSuccessKind, message: &str, text: &str) -> TestCaseStatus {
    let mut status = TestCaseStatus::non_success(kind);
    status.set_message(message).set_description(text);
    status
}
