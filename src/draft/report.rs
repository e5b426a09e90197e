//! What a draft tells: what was decided, how sure that is, what to look at first.

use super::Draft;
use super::part::Sure;
use super::view::View;

/// Something to look at, with what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Look {
    /// In which view.
    pub view: Option<String>,
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
}

/// A part as it is told: how deep it is carried, its name, how sure, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// How many parts carry it.
    pub depth: usize,
    /// The part.
    pub part: String,
    /// How sure the least sure decision about it is.
    pub sure: Sure,
    /// What was decided.
    pub what: String,
}

/// The parts of a view from the root outwards.
#[must_use]
pub fn lines(draft: &Draft, view: &View) -> Vec<Line> {
    let mut found = Vec::new();
    let mut wait: Vec<(usize, usize)> = Vec::new();
    let children = |of: Option<usize>| {
        let all = 0..view.parts.len();
        all.filter(move |&k| view.parts[k].parent.as_ref().map(|p| p.value) == of)
    };
    wait.extend(children(None).map(|k| (k, 0)));
    wait.reverse();
    while let Some((k, depth)) = wait.pop() {
        let part = &view.parts[k];
        let mut sure = part.pivot.sure;
        let mut what = Vec::new();
        if let Some(parent) = &part.parent {
            sure = sure.min(parent.sure);
            what.push(parent.why.clone());
            what.push(format!(
                "turns at {}, {}",
                draft.told_point(part.pivot.value),
                part.pivot.why
            ));
        } else {
            sure = Sure::Likely;
            what.push("carries the rest".to_owned());
        }
        if let Some(limits) = &part.limits {
            what.push(format!("limits {}", limits.value.0));
        }
        if !part.replacements.is_empty() {
            let names: Vec<&str> = part.replacements.iter().map(|(n, _)| n.as_str()).collect();
            what.push(format!("also drawn as {}", names.join(", ")));
        }
        found.push(Line {
            depth,
            part: part.name.clone(),
            sure,
            what: what.join("; "),
        });
        let mut next: Vec<(usize, usize)> = children(Some(k)).map(|c| (c, depth + 1)).collect();
        next.reverse();
        wait.extend(next);
    }
    found
}

/// What a person should look at first, the most important first.
#[must_use]
pub fn first(draft: &Draft) -> Vec<Look> {
    let mut found = Vec::new();
    for view in &draft.views {
        let mut look = |what: String, why: &str| {
            found.push(Look {
                view: view.name.clone(),
                what,
                why: why.to_owned(),
            });
        };
        for part in &view.parts {
            if let Some(parent) = part.parent.as_ref().filter(|p| p.sure == Sure::Guess) {
                let on = &view.parts[parent.value].name;
                look(format!("{} on {on}", part.name), &parent.why);
            } else if let (Sure::Guess, true) = (part.pivot.sure, part.parent.is_some()) {
                look(format!("the pivot of {}", part.name), &part.pivot.why);
            }
        }
        let unnamed: Vec<&str> = view
            .parts
            .iter()
            .filter(|p| p.label.is_empty())
            .map(|p| p.name.as_str())
            .collect();
        if !unnamed.is_empty() {
            look(
                unnamed.join(", "),
                "layers without a name, called after place and colour; name them in the drawing",
            );
        }
        for variant in view.variants.iter().filter(|v| v.seen) {
            let what = format!("{} as a replacement of {}", variant.label, variant.of);
            look(
                what,
                "the drawing shows both, one over the other; if it is a part of its own, give it another name",
            );
        }
        for (label, why) in &view.passed {
            look(format!("layer {label:?} is not used"), why);
        }
        for mark in &view.strays {
            look(format!("the mark {:?}", mark.art), "no part is called so");
        }
        let guesses = |sure: Sure| sure == Sure::Guess;
        for seam in view.seams.iter().filter(|s| guesses(s.why.sure)) {
            let [a, b] = [seam.parent, seam.child].map(|k| &view.parts[k].name);
            look(format!("the seam of {a} and {b}"), &seam.why.why);
        }
        for garment in view.garments.iter().filter(|g| guesses(g.why.sure)) {
            look(
                format!("{} as a garment", view.parts[garment.part].name),
                &garment.why.why,
            );
        }
        for part in view.parts.iter().filter(|p| p.lost) {
            look(
                part.name.clone(),
                "its group is faded, clipped, masked or filtered as a whole, which its pieces are not",
            );
        }
        let limits = view
            .parts
            .iter()
            .filter(|p| p.limits.as_ref().is_some_and(|l| guesses(l.sure)));
        let names: Vec<&str> = limits.map(|p| p.name.as_str()).collect();
        if let [_, _, _, _, _, _, ..] = names.as_slice() {
            look(
                format!(
                    "the limits of {} parts, marked as guesses in the file",
                    names.len()
                ),
                "nothing in the drawing says how far they turn, or which way",
            );
        } else if !names.is_empty() {
            look(
                format!("the limits of {}", names.join(", ")),
                "nothing in the drawing says how far they turn, or which way",
            );
        }
    }
    for [a, b] in &draft.near {
        found.push(Look {
            view: None,
            what: format!("the colours {} {} and {} {}", a.name, a.rgb, b.name, b.rgb),
            why: "they are hard to tell apart; if they are meant to be one, make them one in the drawing".to_owned(),
        });
    }
    found
}

/// In how many ways a view's parts were found.
#[must_use]
pub fn summary(view: &View) -> String {
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    let turns = view.parts.iter().filter(|p| p.limits.is_some()).count();
    let others: usize = view.parts.iter().map(|p| p.replacements.len()).sum();
    let mut all = vec![
        count(view.parts.len(), "part"),
        format!("{turns} that turn"),
    ];
    for (n, one) in [
        (others, "replacement"),
        (view.seams.len(), "seam"),
        (view.masks.len(), "mask"),
        (view.garments.len(), "garment"),
    ] {
        if n > 0 {
            all.push(count(n, one));
        }
    }
    format!(
        "{} from {}",
        all.join(", "),
        crate::diag::quoted(&view.file)
    )
}
