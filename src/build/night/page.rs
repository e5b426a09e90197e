//! The pages of a night: static HTML, nothing to run, nothing from elsewhere. Every word from outside
//! is escaped by the template.

use std::fmt::Write as _;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::digest::brief;
use super::summary::{MemberSummary, State, Summary, UnitSummary};
use super::unit::{Kind, Level, NightFinding};
use crate::diag::plain;

const STYLE: &str = include_str!("page.css");
/// Pictures of one member that are shown; the rest is named.
const MOST_SHOWN: usize = 48;

pub(super) fn document(title: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    };
    // Names, labels and findings are anywhere in it; the lines of the style are none of theirs.
    let page = page.into_string();
    page.split('\n').map(plain).collect::<Vec<_>>().join("\n")
}

/// The page that tells what a night came to.
#[must_use]
pub fn summary(summary: &Summary) -> String {
    let title = match &summary.label {
        Some(label) => format!("{}: night {label}", summary.cast),
        None => format!("{}: the night", summary.cast),
    };
    let body = html! {
        header {
            h1 { (title) }
            p.quiet {
                "Inputs " code { (brief(&summary.inputs)) } ", layfig " (summary.engine) ", "
                @match &summary.since {
                    Some(since) => {
                        "compared with "
                        @match &since.label {
                            Some(label) => { (label) " (" code { (brief(&since.inputs)) } ")" }
                            None => code { (brief(&since.inputs)) }
                        }
                    }
                    None => "the first night",
                }
                "."
            }
            @if let Some(selection) = &summary.selection {
                p.warn { "Not the whole cast: only " (selection) "." }
            }
            nav aria-label="Other forms" {
                ul {
                    li { a href="history.html" { "Nights so far" } }
                    li { a href="summary.json" { "This as JSON" } }
                    li { a href="junit.xml" { "As JUnit" } }
                }
            }
        }
        main {
            (tallies(summary))
            (attention(summary))
            h2 { "Members" }
            (members(summary))
            (differences(summary))
            @if !summary.gone.is_empty() {
                h2 { "Gone" }
                details open[summary.gone.len() <= 20] {
                    summary { (counted(summary.gone.len(), "picture or sheet", "pictures and sheets")) " that the night before had" }
                    ul.lines { @for name in &summary.gone { li { (name) } } }
                }
            }
        }
    };
    document(&title, &body)
}

fn tallies(summary: &Summary) -> Markup {
    let counts = &summary.counts;
    let not_made = counts.refused + counts.failed + summary.unread.len();
    let tally = |numbers: &[(&str, usize, &str)]| {
        html! {
            dl.tallies {
                @for (word, count, class) in numbers {
                    div {
                        dt { (word) }
                        dd class=[(*count > 0 && !class.is_empty()).then_some(class)] { (count) }
                    }
                }
            }
        }
    };
    html! {
        (tally(&[
            ("not as approved", counts.differing, "bad"),
            ("faults found", counts.faults, "bad"),
            ("not made", not_made, "bad"),
            ("warnings", counts.warnings, "warn"),
            ("changed", counts.changed, "warn"),
            ("new", counts.new, "new"),
            ("gone", counts.gone, "warn"),
        ]))
        (tally(&[
            ("pictures", counts.pictures, ""),
            ("sheets", counts.sheets, ""),
            ("checks", counts.checks, ""),
            ("comparisons", counts.comparisons, ""),
        ]))
    }
}

/// What somebody has to do something about.
fn attention(summary: &Summary) -> Markup {
    let lost: Vec<&UnitSummary> = summary
        .units()
        .filter(|u| matches!(u.state, State::Failed | State::Refused))
        .collect();
    let (mistakes, warnings): (Vec<&NightFinding>, Vec<&NightFinding>) = summary
        .members
        .iter()
        .flat_map(|m| &m.problems)
        .partition(|p| p.level == Level::Error);
    html! {
        @if !summary.unread.is_empty() || !lost.is_empty() {
            h2 { "Not made" }
            ul.lines {
                @for (name, why) in &summary.unread { li { strong { (name) } ": " (why) } }
                @for unit in lost {
                    li { strong { (unit.key) } ": " (unit.why.as_deref().unwrap_or("it was not made")) }
                }
            }
        }
        @if !mistakes.is_empty() {
            h2 { "Mistakes in files" }
            ul.lines { @for problem in mistakes { li { (problem.text) } } }
        }
        (approval(summary))
        (faults(summary))
        @if !warnings.is_empty() {
            h2 { "Warnings on files" }
            details open[warnings.len() <= 12] {
                summary { (counted(warnings.len(), "warning", "warnings")) }
                ul.lines { @for problem in warnings { li { (problem.text) } } }
            }
        }
    }
}

/// Poses that are not as approved, by member, and the way to the page where that is decided.
fn approval(summary: &Summary) -> Markup {
    let compared = summary.units().filter(|u| u.key.kind == Kind::Comparison);
    let asking: Vec<&UnitSummary> = compared.filter(|u| !u.findings.is_empty()).collect();
    html! {
        @if summary.review.is_some() || !asking.is_empty() {
            h2 { "As approved?" }
            @if let Some(review) = &summary.review {
                p { a.button href=(url(review)) { "Open the review page" } }
            }
            @for unit in asking { (findings(unit, &[])) }
        }
    }
}

/// What checks and sheets found, with the pictures that show it.
fn faults(summary: &Summary) -> Markup {
    let others = summary.units().filter(|u| u.key.kind != Kind::Comparison);
    let found: Vec<&UnitSummary> = others.filter(|u| !u.findings.is_empty()).collect();
    html! {
        @if !found.is_empty() {
            h2 { "Findings" }
            @for unit in found {
                @let shown: Vec<&str> = unit.files.iter().map(|f| f.path.as_str()).filter(|path| shows(unit, path)).collect();
                (findings(unit, &shown))
            }
        }
    }
}

/// True for the picture of one finding: a check numbers them.
fn shows(unit: &UnitSummary, path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    let number = name.split('-').next().unwrap_or_default();
    unit.key.kind == Kind::Check
        && path.ends_with(".png")
        && name.len() > number.len()
        && number.bytes().all(|b| b.is_ascii_digit())
}

/// The findings of a unit, the grave ones first.
fn findings(unit: &UnitSummary, pictures: &[&str]) -> Markup {
    let grave = unit.findings.iter().filter(|f| f.level == Level::Error);
    let (grave, all) = (grave.count(), unit.findings.len());
    let title = match (grave, all - grave) {
        (n, 0) if unit.key.kind == Kind::Comparison => format!("{n} not as approved"),
        (0, n) => counted(n, "warning", "warnings"),
        (n, 0) => counted(n, "error", "errors"),
        (n, m) => format!(
            "{}, {}",
            counted(n, "error", "errors"),
            counted(m, "warning", "warnings")
        ),
    };
    html! {
        details open[grave > 0 && all <= 12] {
            summary { strong { (unit.key) } ": " (title) }
            ul.lines { @for finding in &unit.findings { li { (line(finding)) } } }
            @if !pictures.is_empty() {
                ul.gallery {
                    @for path in pictures.iter().take(MOST_SHOWN) {
                        li { a href=(url(path)) {
                            img src=(url(path)) alt="" loading="lazy";
                            span { (caption(path)) }
                        } }
                    }
                }
            }
        }
    }
}

/// A file's name without its folder and ending.
fn caption(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.strip_suffix(".png").unwrap_or(name)
}

fn line(finding: &NightFinding) -> Markup {
    let class = match finding.level {
        Level::Error => "bad",
        Level::Warning => "warn",
    };
    html! { span class=(class) { (finding.level.word()) } " " (finding.text) }
}

fn members(summary: &Summary) -> Markup {
    html! {
        div.wide tabindex="0" role="region" aria-label="Members" {
            table {
                thead {
                    tr {
                        th scope="col" { "Member" }
                        @for heading in ["Pictures", "Changed", "New", "Not as approved", "Faults", "Warnings", "Not made"] {
                            th scope="col" { (heading) }
                        }
                        th.words scope="col" { "Sheets and ranges" }
                    }
                }
                tbody {
                    @for member in &summary.members {
                        @let counts = &member.counts;
                        tr {
                            th scope="row" {
                                (member.member)
                                @if !member.name.is_empty() && member.name != member.member { br; span.quiet { (member.name) } }
                            }
                            td { (counts.pictures) }
                            td { (counts.poses) }
                            td { (counts.new) }
                            (approved(member))
                            (grave(counts.faults))
                            td { (counts.warnings) }
                            (grave(counts.refused + counts.failed))
                            td.words { (sheets(member)) }
                        }
                    }
                }
            }
        }
        @if !summary.all.is_empty() {
            h3 { "Of the whole cast" }
            ul.lines {
                @for unit in summary.all.iter().filter(|u| !u.files.is_empty()) { li { (pages(unit, &unit.key.name())) } }
            }
        }
    }
}

fn grave(count: usize) -> Markup {
    html! { td class=[(count > 0).then_some("bad")] { (count) } }
}

/// How many poses are not as approved; a member that nobody approved yet has no set to differ from.
fn approved(member: &MemberSummary) -> Markup {
    let compared = member.units.iter().find(|u| u.key.kind == Kind::Comparison);
    let set = compared.is_some_and(|unit| !unit.files.is_empty());
    html! {
        @if member.units.is_empty() { td.quiet { "not read" } }
        @else if set { (grave(member.counts.differing)) }
        @else { td.quiet { "no set yet" } }
    }
}

/// Links to the pages of a unit.
fn pages(unit: &UnitSummary, name: &str) -> Markup {
    let pictures = unit.files.iter().filter(|f| f.path.ends_with(".png"));
    html! {
        @for (at, file) in pictures.enumerate() {
            @if at == 0 { a href=(url(&file.path)) { (name) } }
            @else { " " a href=(url(&file.path)) aria-label={ (name) ", page " (at + 1) } { (at + 1) } }
        }
    }
}

fn sheets(member: &MemberSummary) -> Markup {
    let sheets: Vec<(Markup, bool)> = member
        .units
        .iter()
        .filter_map(|unit| match unit.key.kind {
            Kind::Sheet if !unit.files.is_empty() => {
                Some((pages(unit, &unit.key.own_name()), true))
            }
            Kind::Check => {
                let ranges = unit
                    .files
                    .iter()
                    .find(|f| f.path.ends_with("/ranges.png"))?;
                let view = unit.key.of.view.iter().map(String::as_str);
                let name = view.chain(["ranges"]).collect::<Vec<_>>().join(" ");
                Some((html! { a href=(url(&ranges.path)) { (name) } }, false))
            }
            _ => None,
        })
        .collect();
    let links = html! {
        ul.lines { @for (link, _) in &sheets { li { (link) } } }
    };
    html! {
        @match sheets.len() {
            0 => "none",
            1..=4 => (links),
            count => details {
                summary { (counted(sheets.iter().filter(|(_, sheet)| *sheet).count().min(count), "sheet", "sheets")) }
                (links)
            }
        }
    }
}

/// A unit's name without its member's, and whether it is new.
fn own(unit: &UnitSummary) -> String {
    let name = unit.key.own_name();
    match unit.state {
        State::New => format!("{name}, new"),
        _ => name,
    }
}

/// Pictures that differ from the night before; on a first night there is nothing to tell.
fn differences(summary: &Summary) -> Markup {
    let differs = |unit: &&UnitSummary| match unit.state {
        // What comparisons and checks came to is told above.
        _ if !matches!(unit.key.kind, Kind::Picture | Kind::Sheet) => false,
        State::Changed => true,
        State::New => summary.since.is_some(),
        _ => false,
    };
    let any = summary
        .members
        .iter()
        .any(|m| m.units.iter().any(|u| differs(&u)));
    html! {
        @if any {
            h2 { "Changed and new" }
            @for member in &summary.members {
                @let units: Vec<&UnitSummary> = member.units.iter().filter(differs).collect();
                @if !units.is_empty() {
                    h3 { (member.member) ": " (counted(units.len(), "picture or sheet", "pictures and sheets")) }
                    ul.gallery {
                        @for unit in units.iter().take(MOST_SHOWN) {
                            @if let Some(file) = unit.files.first() {
                                li {
                                    a href=(url(&file.path)) {
                                        img src=(url(&file.path)) alt="" loading="lazy";
                                        span { (own(unit)) }
                                    }
                                }
                            } @else {
                                li { span { (own(unit)) } }
                            }
                        }
                    }
                    @if units.len() > MOST_SHOWN {
                        details {
                            summary { (units.len() - MOST_SHOWN) " more" }
                            ul.lines {
                                @for unit in &units[MOST_SHOWN..] {
                                    li {
                                        @match unit.files.first() {
                                            Some(file) => a href=(url(&file.path)) { (unit.key.name()) },
                                            None => (unit.key.name()),
                                        }
                                        ", " (unit.state.word())
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// A path below the page's own folder as a relative reference (RFC 3986): what is not unreserved is
/// written in percent, so that no name is taken for a scheme, a query or a fragment.
fn url(path: &str) -> String {
    let mut out = String::from("./");
    for &byte in path.as_bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                out.push(char::from(byte));
            }
            _ => {
                let _ = write!(out, "%{byte:02X}");
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn references_cannot_be_mistaken() {
        assert_eq!(url("a/b_c-1.png"), "./a/b_c-1.png");
        assert_eq!(url("javascript:x"), "./javascript%3Ax");
        assert_eq!(url("a?b#c d/é\"<"), "./a%3Fb%23c%20d/%C3%A9%22%3C");
    }
}
