//! The page of all nights.

use std::fmt::Write as _;

use maud::{Markup, PreEscaped, html};

use super::digest::brief;
use super::history::Entry;
use super::page::{counted, document};

/// The page that tells how nights went, one after the other.
#[must_use]
pub fn trends(cast: &str, entries: &[Entry]) -> String {
    let title = format!("{cast}: nights so far");
    let recent = &entries[entries.len().saturating_sub(60)..];
    let body = html! {
        header {
            h1 { (title) }
            nav aria-label="Other forms" {
                ul {
                    li { a href="index.html" { "The last night" } }
                    li { a href="history.jsonl" { "This as JSON lines" } }
                }
            }
        }
        main {
            @if recent.len() > 1 {
                div.trends {
                    (trend("Changed poses", recent, |e| e.counts.poses as f64))
                    (trend("Not as approved", recent, |e| e.counts.differing as f64))
                    (trend("Errors and warnings", recent, |e| (e.counts.errors + e.counts.warnings) as f64))
                    (trend("Work, seconds over all threads", recent, |e| e.seconds))
                }
            }
            h2 { (counted(entries.len(), "night", "nights")) ", the latest first" }
            div.wide tabindex="0" role="region" aria-label="Nights" {
                table {
                    thead {
                        tr {
                            @for heading in ["Night", "Inputs", "Pictures", "Sheets", "Changed poses", "Changed", "New", "Gone", "Refused", "Not as approved", "Faults", "Errors", "Warnings", "Made", "Seconds"] {
                                th scope="col" { (heading) }
                            }
                        }
                    }
                    tbody {
                        @for entry in entries.iter().rev() {
                            @let counts = &entry.counts;
                            tr {
                                th scope="row" { (entry.title()) }
                                td { code { (brief(&entry.inputs)) } }
                                @for count in [counts.pictures, counts.sheets, counts.poses, counts.changed, counts.new, counts.gone, counts.refused, counts.differing, counts.faults, counts.errors, counts.warnings, entry.made] {
                                    td { (count) }
                                }
                                td { (format!("{:.1}", entry.seconds)) }
                            }
                        }
                    }
                }
            }
        }
    };
    document(&title, &body)
}

/// Bars, one for each night; the table has the numbers.
fn trend(title: &str, entries: &[Entry], value: impl Fn(&Entry) -> f64) -> Markup {
    let most = entries.iter().map(&value).fold(0.0, f64::max);
    let shown = if most >= 10.0 || most == most.round() {
        format!("{most:.0}")
    } else {
        format!("{most:.1}")
    };
    // A few nights are not blown up to fill the width.
    let width = 600.0 / entries.len().max(20) as f64;
    let mut bars = String::new();
    for (at, entry) in entries.iter().enumerate() {
        let height = if most > 0.0 {
            value(entry) / most * 104.0
        } else {
            0.0
        };
        let (x, y) = (at as f64 * width + width * 0.1, 112.0 - height);
        let _ = write!(
            bars,
            "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{:.2}\" height=\"{height:.2}\"/>",
            width * 0.8
        );
    }
    html! {
        figure {
            figcaption { (title) ", at most " (shown) }
            svg.trend viewBox="0 0 600 112" preserveAspectRatio="none" role="img" aria-label={ (title) " in " (entries.len()) " nights, at most " (shown) } {
                (PreEscaped(bars))
            }
        }
    }
}
