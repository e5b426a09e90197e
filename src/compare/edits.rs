//! What was edited between two records.

use std::collections::{BTreeMap, BTreeSet};

use indexmap::IndexMap;
use serde_json::Value;

use super::recording::EXPRESSION;
use super::shot::{Shot, distance, number};
use super::{CauseKind, DrawingRecord, PoseEntryRecord, PoseRecord, RigRecord};

/// One edit, and what it may have changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Edit {
    /// What was edited; unique.
    pub subject: String,
    /// In what.
    pub kind: CauseKind,
    /// What was done to it.
    pub text: String,
    /// The view, where it is about one only and that has a name.
    pub view: Option<String>,
    /// How it shows.
    pub reach: Reach,
}

/// How an edit shows in pictures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reach {
    /// By the transform of this part and what it carries.
    Transform(String),
    /// By the order of this part, and what it carries, among the others.
    Order(String),
    /// By this part's drawing, where it shows this one, then or now.
    Shows(String, Vec<String>),
    /// By this drawing wherever it shows.
    Drawing(String),
    /// By this swatch of this palette.
    Swatch(String, String),
    /// By these parts' edges and inks.
    Parts(Vec<String>),
    /// By what turns so that the end of a limb, this part, comes where it goes, and all that carries.
    Limb(String),
    /// By this part with all it carries: its being there, its form.
    Presence(String),
    /// By everything.
    All,
    /// By nothing.
    Nothing,
}

/// A point for people.
fn point(p: [f64; 2]) -> String {
    format!("[{}, {}]", p[0], p[1])
}

fn list(names: &[String]) -> String {
    names.join(", ")
}

/// A value that may not be there.
fn or_none<T: std::fmt::Display>(value: Option<T>) -> String {
    value.map_or_else(|| "nothing".to_owned(), |v| v.to_string())
}

/// All edits between two records of one view.
#[must_use]
pub fn edits(then: &RigRecord, now: &RigRecord) -> Vec<Edit> {
    let mut all = Edits {
        view: now.view.clone(),
        out: Vec::new(),
    };
    if then.canvas != now.canvas {
        let text = format!("{} to {}", point(then.canvas), point(now.canvas));
        all.shared("canvas".into(), CauseKind::Picture, text, Reach::All);
    }
    if then.facing != now.facing {
        let text = format!("{} to {}", or_none(then.facing), or_none(now.facing));
        all.own("facing", CauseKind::Picture, text, Reach::All);
    }
    if then.shortest != now.shortest {
        let text = format!("{} to {}", or_none(then.shortest), or_none(now.shortest));
        all.shared("shortest".into(), CauseKind::Picture, text, Reach::All);
    }
    all.palettes(then, now);
    all.parts(then, now);
    all.drawings(then, now);
    all.joins(then, now);
    all.out
}

struct Edits {
    view: Option<String>,
    out: Vec<Edit>,
}

impl Edits {
    /// An edit of this view.
    fn own(&mut self, subject: &str, kind: CauseKind, text: String, reach: Reach) {
        let subject = match &self.view {
            Some(view) => format!("{view}/{subject}"),
            None => subject.to_owned(),
        };
        self.out.push(Edit {
            subject,
            kind,
            text,
            view: self.view.clone(),
            reach,
        });
    }

    /// An edit of what views share.
    fn shared(&mut self, subject: String, kind: CauseKind, text: String, reach: Reach) {
        self.out.push(Edit {
            subject,
            kind,
            text,
            view: None,
            reach,
        });
    }

    fn palettes(&mut self, then: &RigRecord, now: &RigRecord) {
        let empty = IndexMap::new();
        if let Some(first) = now.palettes.keys().next() {
            let swatches = then.drawn.iter().chain(&now.drawn);
            let swatches: BTreeSet<&String> = swatches.map(|(name, _)| name).collect();
            for swatch in swatches {
                // A record without them has them in its first palette.
                let of = |rig: &'_ RigRecord| {
                    let drawn = Some(&rig.drawn).filter(|drawn| !drawn.is_empty());
                    let drawn = drawn.or_else(|| rig.palettes.values().next());
                    drawn.and_then(|drawn| drawn.get(swatch)).cloned()
                };
                let (a, b) = (of(then), of(now));
                if a != b {
                    let text = format!("{} to {}", or_none(a.as_ref()), or_none(b.as_ref()));
                    let reach = Reach::Swatch(first.clone(), swatch.clone());
                    self.shared(format!("swatch {swatch}"), CauseKind::Palette, text, reach);
                }
            }
        }
        let names: BTreeSet<&String> = then.palettes.keys().chain(now.palettes.keys()).collect();
        for palette in names {
            let was = then.palettes.get(palette).unwrap_or(&empty);
            let is = now.palettes.get(palette).unwrap_or(&empty);
            let swatches: BTreeSet<&String> = was.keys().chain(is.keys()).collect();
            for swatch in swatches {
                let (a, b) = (was.get(swatch), is.get(swatch));
                if a != b {
                    let text = match (a, b) {
                        (None, Some(b)) => format!("added, {b}"),
                        (Some(a), None) => format!("removed, was {a}"),
                        _ => format!("{} to {}", or_none(a), or_none(b)),
                    };
                    let reach = Reach::Swatch(palette.clone(), swatch.clone());
                    let subject = format!("palette {palette}: {swatch}");
                    self.shared(subject, CauseKind::Palette, text, reach);
                }
            }
        }
    }

    fn parts(&mut self, then: &RigRecord, now: &RigRecord) {
        for (name, is) in &now.parts {
            let Some(was) = then.parts.get(name) else {
                let reach = Reach::Presence(name.clone());
                self.own(name, CauseKind::Part, "added".into(), reach);
                continue;
            };
            let setting = |key: &str| format!("{name}.{key}");
            if was.pivot != is.pivot {
                let text = format!(
                    "moved {} units, {} to {}",
                    number(distance(was.pivot, is.pivot)),
                    point(was.pivot),
                    point(is.pivot)
                );
                let reach = Reach::Transform(name.clone());
                self.own(&setting("pivot"), CauseKind::Part, text, reach);
            }
            if was.place != is.place {
                let reach = Reach::Transform(name.clone());
                let text = "its art has another place".to_owned();
                self.own(&setting("place"), CauseKind::Part, text, reach);
            }
            if was.space != is.space {
                let [a, b] = [was, is].map(|part| or_none(part.space.as_ref()));
                let reach = Reach::Presence(name.clone());
                let text = format!("{a} to {b}");
                self.own(&setting("space"), CauseKind::Part, text, reach);
            }
            if was.tip != is.tip {
                let [a, b] = [was.tip, is.tip].map(|tip| or_none(tip.map(point)));
                let reach = Reach::Presence(name.clone());
                let text = format!("{a} to {b}");
                self.own(&setting("tip"), CauseKind::Part, text, reach);
            }
            if was.parent != is.parent {
                let text = format!(
                    "{} to {}",
                    or_none(was.parent.as_ref()),
                    or_none(is.parent.as_ref())
                );
                let reach = Reach::Presence(name.clone());
                self.own(&setting("parent"), CauseKind::Part, text, reach);
            }
            if was.depth != is.depth {
                let text = format!("{} to {}", was.depth, is.depth);
                let reach = Reach::Order(name.clone());
                self.own(&setting("depth"), CauseKind::Part, text, reach);
            }
            if was.limits != is.limits {
                let text = format!(
                    "{} to {}",
                    or_none(was.limits.map(point)),
                    or_none(is.limits.map(point))
                );
                self.own(&setting("limits"), CauseKind::Part, text, Reach::Nothing);
            }
            if was.art != is.art {
                let text = format!(
                    "{} to {}",
                    or_none(was.art.as_ref()),
                    or_none(is.art.as_ref())
                );
                let shown = was.art.iter().chain(&is.art).cloned().collect();
                let reach = Reach::Shows(name.clone(), shown);
                self.own(&setting("art"), CauseKind::Part, text, reach);
            }
            let names: BTreeSet<&String> = was
                .replacements
                .keys()
                .chain(is.replacements.keys())
                .collect();
            for replacement in names {
                let a = was.replacements.get(replacement).cloned().flatten();
                let b = is.replacements.get(replacement).cloned().flatten();
                if a != b {
                    let text = format!("{} to {}", or_none(a.as_ref()), or_none(b.as_ref()));
                    let reach = Reach::Shows(name.clone(), a.into_iter().chain(b).collect());
                    let key = format!("{name}.replacements.{replacement}");
                    self.own(&key, CauseKind::Part, text, reach);
                }
            }
        }
        for name in then.parts.keys().filter(|n| !now.parts.contains_key(*n)) {
            let reach = Reach::Presence(name.clone());
            self.own(name, CauseKind::Part, "removed".into(), reach);
        }
        for (name, text) in reordered(then, now) {
            let subject = format!("{name} (order of the file)");
            self.own(&subject, CauseKind::Part, text, Reach::Order(name));
        }
    }

    fn drawings(&mut self, then: &RigRecord, now: &RigRecord) {
        for (name, is) in &now.drawings {
            let Some(was) = then.drawings.get(name).filter(|was| *was != is) else {
                continue;
            };
            // Drawings lie in files that views share.
            let reach = Reach::Drawing(name.clone());
            self.shared(name.clone(), CauseKind::Drawing, redrawn(was, is), reach);
        }
    }

    fn joins(&mut self, then: &RigRecord, now: &RigRecord) {
        let names: BTreeSet<&String> = then.seams.keys().chain(now.seams.keys()).collect();
        for name in names {
            let (a, b) = (then.seams.get(name), now.seams.get(name));
            if a == b {
                continue;
            }
            let parts = a.into_iter().chain(b).flat_map(|s| s.parts.iter().cloned());
            let reach = Reach::Parts(parts.collect());
            let subject = format!("seam {name}");
            let (Some(a), Some(b)) = (a, b) else {
                let text = if a.is_none() { "added" } else { "removed" };
                self.own(&subject, CauseKind::Seam, text.into(), reach);
                continue;
            };
            let mut words = Vec::new();
            if a.parts != b.parts {
                words.push(format!("parts {} to {}", list(&a.parts), list(&b.parts)));
            }
            if a.zone != b.zone {
                words.push(format!("zone {} to {}", a.zone, b.zone));
            }
            if a.opens != b.opens {
                words.push(format!("opens {} to {}", a.opens, b.opens));
            }
            if a.patch != b.patch {
                let (a, b) = (or_none(a.patch.as_ref()), or_none(b.patch.as_ref()));
                words.push(format!("patch {a} to {b}"));
            }
            self.own(&subject, CauseKind::Seam, words.join("; "), reach);
        }
        let names: BTreeSet<&String> = then.masks.keys().chain(now.masks.keys()).collect();
        for name in names {
            let (a, b) = (then.masks.get(name), now.masks.get(name));
            if a == b {
                continue;
            }
            let parts = a.into_iter().chain(b).map(|m| m.part.clone()).collect();
            let text = match (a, b) {
                (Some(a), Some(b)) => {
                    format!("{} {} to {} {}", a.keep, list(&a.of), b.keep, list(&b.of))
                }
                (None, _) => "added".to_owned(),
                _ => "removed".to_owned(),
            };
            let subject = format!("mask {name}");
            self.own(&subject, CauseKind::Mask, text, Reach::Parts(parts));
        }
        let names: BTreeSet<&String> = then.garments.keys().chain(now.garments.keys()).collect();
        for name in names {
            let (a, b) = (then.garments.get(name), now.garments.get(name));
            if a == b {
                continue;
            }
            let both = || a.into_iter().chain(b);
            let parts = both()
                .map(|g| g.part.clone())
                .chain(both().flat_map(|g| g.on.iter().cloned()));
            let reach = Reach::Parts(parts.collect());
            let text = match (a, b) {
                (Some(a), Some(b)) => {
                    let mut words = Vec::new();
                    if a.trim != b.trim {
                        let (a, b) = (or_none(a.trim.as_ref()), or_none(b.trim.as_ref()));
                        words.push(format!("trim {a} to {b}"));
                    }
                    if a.on != b.on {
                        words.push(format!("on {} to on {}", list(&a.on), list(&b.on)));
                    }
                    if a.part != b.part {
                        words.push(format!("part {} to {}", a.part, b.part));
                    }
                    words.join("; ")
                }
                (None, _) => "added".to_owned(),
                _ => "removed".to_owned(),
            };
            self.own(&format!("garment {name}"), CauseKind::Garment, text, reach);
        }
    }
}

/// Parts that the file declares in another order: the fewest that explain it.
fn reordered(then: &RigRecord, now: &RigRecord) -> Vec<(String, String)> {
    let was: Vec<&String> = then
        .parts
        .keys()
        .filter(|n| now.parts.contains_key(*n))
        .collect();
    let is: Vec<usize> = now
        .parts
        .keys()
        .filter_map(|n| was.iter().position(|w| *w == n))
        .collect();
    if is.is_sorted() {
        return Vec::new();
    }
    // The longest run that kept its order stays; the rest moved.
    let mut best: Vec<(usize, Option<usize>)> = Vec::with_capacity(is.len());
    for (at, &v) in is.iter().enumerate() {
        let before = (0..at).filter(|&j| is[j] < v).max_by_key(|&j| best[j].0);
        best.push((before.map_or(1, |j| best[j].0 + 1), before));
    }
    let mut at = (0..is.len()).max_by_key(|&j| best[j].0);
    let mut stays = vec![false; is.len()];
    while let Some(j) = at {
        stays[j] = true;
        at = best[j].1;
    }
    let moved = (0..is.len()).filter(|&j| !stays[j]);
    moved
        .map(|j| {
            let text = match j.checked_sub(1) {
                Some(before) => format!("now declared after {}", was[is[before]]),
                None => "now declared first".to_owned(),
            };
            (was[is[j]].clone(), text)
        })
        .collect()
}

/// What is other in a drawing.
fn redrawn(was: &DrawingRecord, is: &DrawingRecord) -> String {
    let (a, b) = (was.outlines.len(), is.outlines.len());
    if a != b {
        return format!("changed: {a} shapes to {b}");
    }
    let id = |at: usize| {
        let id = is.outlines[at].split(' ').nth(2);
        id.map_or_else(|| format!("shape {}", at + 1), |id| format!("\"{id}\""))
    };
    let some = |which: Vec<usize>| match which[..] {
        [one] => id(one),
        _ => format!("{} of {b} shapes", which.len()),
    };
    let mut words = Vec::new();
    let outlines: Vec<usize> = (0..a)
        .filter(|&k| was.outlines[k] != is.outlines[k])
        .collect();
    let colours: Vec<usize> = (0..a)
        .filter(|&k| was.colours[k] != is.colours[k])
        .collect();
    if !outlines.is_empty() {
        words.push(format!("outline of {} changed", some(outlines)));
    }
    if let [one] = colours[..] {
        words.push(format!(
            "{} recoloured {} to {}",
            id(one),
            was.colours[one],
            is.colours[one]
        ));
    } else if !colours.is_empty() {
        words.push(format!("{} recoloured", some(colours)));
    }
    words.join("; ")
}

/// All edits between two records of one pose, called `name` and in this list.
#[must_use]
pub fn pose_edits(then: &PoseRecord, now: &PoseRecord, list: &str, name: &str) -> Vec<Edit> {
    let keys: BTreeMap<&String, ()> = then
        .says
        .keys()
        .chain(now.says.keys())
        .map(|k| (k, ()))
        .collect();
    let mut out = Vec::new();
    for key in keys.into_keys() {
        let (a, b) = (then.says.get(key), now.says.get(key));
        if a.map(|s| &s.value) == b.map(|s| &s.value) {
            continue;
        }
        // The pose that says it now; where nothing is said any more, the one that said it.
        let said = b.or(a);
        let by = said.and_then(|s| s.from.as_deref()).unwrap_or(name);
        let value = |s: Option<&PoseEntryRecord>| match s.map(|s| &s.value) {
            Some(Value::String(text)) => text.clone(),
            // 38 rather than 38.0.
            Some(Value::Number(number)) => number
                .as_f64()
                .map_or_else(|| number.to_string(), |v| v.to_string()),
            Some(other) => other.to_string(),
            None => "nothing".to_owned(),
        };
        let (table, part) = key.split_once('.').unwrap_or((key, ""));
        let part = part.to_owned();
        let reach = match table {
            "turn" | "move" | "scale" | "skew" => Reach::Transform(part),
            // They may change no more than a length or an order.
            "stretch" | "aim" | "lean" => Reach::Presence(part),
            "reach" | "plant" => Reach::Limb(part),
            "depth" | "behind" | "in_front" => Reach::Order(part),
            "replace" => Reach::Parts(vec![part]),
            _ => Reach::All,
        };
        out.push(Edit {
            subject: match by.strip_prefix(EXPRESSION) {
                Some(name) => format!("expression {name}: {key}"),
                None => format!("pose {list}/{by}: {key}"),
            },
            kind: CauseKind::Pose,
            text: format!("{} to {}", value(a), value(b)),
            view: None,
            reach,
        });
    }
    out
}

/// Ends of limbs that went elsewhere though the pose says the same of them: what they go to moved, or what carries them.
#[must_use]
pub fn limb_edits(before: &Shot<'_>, after: &Shot<'_>, list: &str, name: &str) -> Vec<Edit> {
    let says = &after.pose.pose.says;
    let limbs = says.iter().filter_map(|(key, said)| {
        let (table, part) = key.split_once('.')?;
        let same = before.pose.pose.get(key) == Some(&said.value);
        let is_limb = matches!(table, "reach" | "plant") && same;
        let (then, now) = (before.rig.parts.get(part)?, after.rig.parts.get(part)?);
        let [a, b] = [
            before.world(part).apply(then.pivot),
            after.world(part).apply(now.pivot),
        ];
        let moved = libm::hypot(a[0] - b[0], a[1] - b[1]);
        (is_limb && moved >= 0.05).then(|| Edit {
            subject: format!("pose {list}/{name}: {table} of {part}"),
            kind: CauseKind::Pose,
            text: format!("moved {} units", (moved * 10.0).round() / 10.0),
            view: None,
            reach: Reach::Limb(part.to_owned()),
        })
    });
    limbs.collect()
}
