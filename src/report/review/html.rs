//! The page's markup. What depends on the review is filled in by the page's program, but for its title and,
//! for browsers that run no programs, a plain list.

use maud::{DOCTYPE, Markup, html};

use super::types::{Look, Review};
use crate::diag::plain;

/// Only what lies in the page's own folder, no markup from text, nothing sent anywhere. `file:` stands beside
/// `'self'` since browsers do not agree whether a page from a disk has a self.
const POLICY: &str = "default-src 'none'; script-src 'self' file:; style-src 'self' file:; img-src 'self' file:; \
    base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types layfig-review";

/// The file `index.html`.
#[must_use]
pub fn index_html(review: &Review) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { "Review of " (plain(&review.title)) }
                link rel="stylesheet" href="review.css";
                script src="theme.js" {}
                script src="review.js" defer {}
                script src="data.js" defer {}
            }
            body {
                (signs())
                (masthead(&review.title))
                main id="main" {
                    noscript { (plain_list(review)) }
                    (overview())
                    (pose())
                }
                p id="said" class="unseen" role="status" aria-live="polite" {}
                div id="toast" class="toast" hidden { span id="toast-text" {} button id="toast-undo" type="button" { "Undo" } }
                (help())
            }
        }
    }
    .into_string()
}

/// Drawn once, used by reference.
fn signs() -> Markup {
    html! {
        svg class="signs" aria-hidden="true" width="0" height="0" {
            symbol id="sign-approve" viewBox="0 0 16 16" { path d="M2.5 8.5 6.3 12.3 13.5 4"; }
            symbol id="sign-reject" viewBox="0 0 16 16" { path d="M3.5 3.5 12.5 12.5M12.5 3.5 3.5 12.5"; }
            symbol id="sign-note" viewBox="0 0 16 16" { path d="M3 4h10M3 8h10M3 12h6"; }
            symbol id="sign-back" viewBox="0 0 16 16" { path d="M10.5 2.5 5 8l5.5 5.5"; }
            symbol id="sign-on" viewBox="0 0 16 16" { path d="M5.5 2.5 11 8l-5.5 5.5"; }
        }
    }
}

fn sign(name: &str) -> Markup {
    let href = format!("#sign-{name}");
    html! { svg class="sign" aria-hidden="true" { use href=(href) {} } }
}

fn masthead(title: &str) -> Markup {
    html! {
        header class="masthead" {
            button id="skip" class="skip" type="button" { "Skip to the poses" }
            h1 { span class="quiet" { "Review of " } bdi { (plain(title)) } }
            p id="tally" class="tally" {}
            div class="tools" {
                input id="import-file" type="file" accept=".json,application/json" class="unseen" tabindex="-1" aria-label="A file of decisions";
                button id="import" type="button" aria-keyshortcuts="i" { "Import" }
                button id="export" class="main" type="button" aria-keyshortcuts="e" { "Export decisions" }
                button id="theme" type="button" aria-keyshortcuts="t" { "Dark" }
                button id="help-open" type="button" aria-keyshortcuts="?" { "Keys" }
            }
        }
    }
}

fn overview() -> Markup {
    html! {
        div id="overview" class="overview" hidden {
            form id="filters" class="filters" aria-label="Filters" {
                div class="filters-head" {
                    h2 { "Filters" }
                    button id="clear" type="button" aria-keyshortcuts="c" { "Clear" }
                    button id="filters-close" class="narrow" type="button" { "Done" }
                }
            }
            section id="poses" class="poses" aria-labelledby="shown" {
                div class="bar" {
                    button id="filters-open" class="narrow" type="button" aria-expanded="false" aria-controls="filters" { "Filters" }
                    label class="search" {
                        span class="unseen" { "Search" }
                        input id="search" type="search" placeholder="Search poses, parts, causes" autocomplete="off" spellcheck="false" aria-keyshortcuts="/";
                    }
                    label class="order" {
                        span { "Order" }
                        select id="order" {
                            option value="amount" { "most changed first" }
                            option value="file" { "as in the files" }
                            option value="name" { "by name" }
                        }
                    }
                    h2 id="shown" class="shown" {}
                    button id="approve-shown" type="button" aria-keyshortcuts="Shift+A" { "Approve all shown" }
                }
                div id="scroller" class="scroller" {
                    ul id="grid" class="grid" role="list" aria-label="Poses" {}
                    div id="nothing" class="nothing" hidden {
                        p id="nothing-text" {}
                        button id="nothing-clear" type="button" { "Show all poses" }
                    }
                }
            }
        }
    }
}

/// Ways to look at a pose: the word in the program, the word on the page, the key.
const WAYS: [(&str, &str, &str); 7] = [
    ("side", "Side by side", "1"),
    ("before", "Before", "2"),
    ("after", "After", "3"),
    ("difference", "Difference", "4"),
    ("wipe", "Wipe", "5"),
    ("dissolve", "Dissolve", "6"),
    ("blink", "Blink", "7"),
];

fn pose() -> Markup {
    html! {
        section id="pose" class="pose" hidden aria-labelledby="pose-name" {
            header class="pose-head" {
                button id="back" type="button" aria-keyshortcuts="Escape" { (sign("back")) "All poses" }
                div class="pose-title" {
                    h2 id="pose-name" {}
                    p id="pose-where" {}
                    p id="pose-note" {}
                }
                p id="pose-place" class="quiet number" {}
                button id="previous" class="square" type="button" aria-label="Pose before this" aria-keyshortcuts="k" { (sign("back")) }
                button id="next" class="square" type="button" aria-label="Pose after this" aria-keyshortcuts="j" { (sign("on")) }
            }
            div class="ways" role="group" aria-label="Ways to look" {
                @for (word, label, key) in WAYS {
                    button type="button" data-way=(word) aria-pressed="false" aria-keyshortcuts=(key) { (label) }
                }
            }
            div class="desk" {
                div id="stage" class="stage" tabindex="0" role="group" aria-describedby="stage-hint" {}
                p id="stage-hint" class="unseen" { "Arrow keys move the picture, plus and minus zoom, 0 fits it. The part under the middle is named." }
                p id="stage-why" class="stage-why" hidden {}
            }
            (under())
            (facts())
        }
    }
}

/// What stands under the picture.
fn under() -> Markup {
    html! {
        div class="under" {
            p id="probe" class="probe" {
                span id="probe-at" class="number" {}
                span id="probe-part" {}
            }
            div class="way-tools" {
                label id="slide-box" hidden {
                    span id="slide-label" { "Wipe" }
                    input id="slide" type="range" min="0" max="100" step="1" value="50";
                }
                div id="blink-box" class="row" hidden {
                    button id="blink-run" type="button" aria-keyshortcuts="Space" { "Pause" }
                    button id="flip" type="button" aria-keyshortcuts="x" { "Flip" }
                    label {
                        span { "Every" }
                        select id="blink-rate" {
                            option value="2000" { "2 s" }
                            option value="1000" selected { "1 s" }
                            option value="500" { "\u{bd} s" }
                        }
                    }
                }
            }
            div class="row" role="group" aria-label="Zoom" {
                button id="zoom-out" class="square" type="button" aria-label="Smaller" aria-keyshortcuts="-" { "\u{2212}" }
                output id="zoom" class="number" for="zoom-out zoom-in" {}
                button id="zoom-in" class="square" type="button" aria-label="Larger" aria-keyshortcuts="+" { "+" }
                button id="fit" type="button" aria-keyshortcuts="0" { "Fit" }
                button id="whole" type="button" aria-keyshortcuts="9" { "1:1" }
            }
            label {
                span { "Ground" }
                select id="ground" {
                    option value="auto" { "paper" }
                    option value="light" { "white" }
                    option value="mid" { "grey" }
                    option value="dark" { "black" }
                    option value="squares" { "squares" }
                }
            }
            label class="check" { input id="outline" type="checkbox" checked; span { "Outline changes" } }
        }
    }
}

/// What stands beside the picture.
fn facts() -> Markup {
    html! {
        section id="facts" class="facts" aria-label="About this pose" {
            section class="decide" aria-labelledby="decide-head" {
                h3 id="decide-head" { "Decision" }
                p id="decide-none" class="quiet" hidden {}
                p id="refused" class="refused" hidden {}
                div id="decide-buttons" class="decide-buttons" role="group" aria-labelledby="decide-head" {
                    button id="approve" type="button" aria-pressed="false" aria-keyshortcuts="a" { (sign("approve")) "Approve" }
                    button id="reject" type="button" aria-pressed="false" aria-keyshortcuts="r" { (sign("reject")) "Reject" }
                }
                label class="note" {
                    span { "Note" }
                    textarea id="note" rows="2" maxlength="4000" aria-keyshortcuts="n" {}
                }
                label class="check" id="go-on-box" { input id="go-on" type="checkbox"; span { "After a decision, go on to the next" } }
            }
            section id="why" aria-labelledby="why-head" { h3 id="why-head" { "Why" } ul id="why-list" role="list" {} }
            section id="what" aria-labelledby="what-head" { h3 id="what-head" { "What, by part" } ul id="what-list" role="list" {} }
            section id="places" aria-labelledby="places-head" { h3 id="places-head" { "Where" } ol id="places-list" role="list" {} }
            section id="measured" aria-labelledby="measured-head" { h3 id="measured-head" { "Measured" } dl id="measured-list" {} }
        }
    }
}

fn help() -> Markup {
    html! {
        dialog id="help" class="help" aria-labelledby="help-head" {
            div class="help-head" {
                h2 id="help-head" { "Keys" }
                button id="help-close" type="button" { "Close" }
            }
            div id="help-keys" class="help-keys" {}
            label class="check" { input id="single-keys" type="checkbox" checked; span { "Keys of one letter or digit work" } }
            p class="quiet" id="help-kept" {}
        }
    }
}

/// What differs, with links to the pictures.
fn plain_list(review: &Review) -> Markup {
    html! {
        div class="plain" {
            p { "Filters, ways to look and decisions need JavaScript. These poses ask for a look:" }
            ul {
                @for (number, entry) in review.entries.iter().enumerate().filter(|(_, e)| e.state.asks()) {
                    li {
                        bdi { (plain(&entry.key)) }
                        @for look in entry.looks.iter().filter(|l| **l != Look::Small) {
                            " " a href=(look.file(number)) { (look.word()) }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::State;
    use crate::report::review::Entry;

    #[test]
    fn names_are_text_and_never_markup() {
        let review = Review {
            title: "<img src=x onerror=alert(1)>\u{202e}".to_owned(),
            entries: vec![Entry {
                key: "</noscript><script>alert(2)</script>\"'".to_owned(),
                state: State::Differs,
                looks: vec![Look::After],
                ..Entry::default()
            }],
            ..Review::default()
        };
        let page = index_html(&review);
        assert!(
            !page.contains("<img src=x") && !page.contains("<script>alert"),
            "{page}"
        );
        assert_eq!(page.matches("<script").count(), 3);
        assert!(page.contains("\u{27e8}U+202E\u{27e9}") && !page.contains('\u{202e}'));
        assert!(page.contains("pictures/0000.after.png"));
    }
}
