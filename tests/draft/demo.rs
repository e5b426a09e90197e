//! The demo cast's own drawings, rigs put aside: what a draft finds of what was made by hand.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use layfig::check::{Hidden, Joint};
use layfig::draft::{Draft, View, draft};
use layfig::geom::Region;
use layfig::project::ProjectMember;
use layfig::{Files, Project};

/// Found, of how many.
#[derive(Clone, Copy, Debug, Default)]
struct Share(usize, usize);

impl Share {
    fn count(&mut self, right: bool) {
        self.0 += usize::from(right);
        self.1 += 1;
    }

    fn percent(self) -> f64 {
        100.0 * self.0 as f64 / self.1.max(1) as f64
    }
}

#[derive(Debug, Default)]
struct Found {
    parents: Share,
    seams: Share,
    false_seams: Share,
    masks: Share,
    false_masks: Share,
    garments: Share,
    depth: Share,
    /// Of pairs whose order shows in the drawing: neither joined nor worn, and not covered where they meet.
    shown_depth: Share,
    /// Distances of pivots, % of the limb's width: of seams, and of all that turns.
    pivots: Vec<f64>,
    turned: Vec<f64>,
    log: String,
}

fn at(list: &[f64], share: f64) -> f64 {
    let mut sorted = list.to_vec();
    sorted.sort_by(f64::total_cmp);
    let k = ((sorted.len() as f64 - 1.0) * share).round() as usize;
    sorted.get(k).copied().unwrap_or(f64::NAN)
}

/// The parts of a draft by the parts of the rig that have the same drawing.
fn matched(member: &ProjectMember, view: usize, drafted: &View) -> BTreeMap<usize, usize> {
    let rig = member.rig();
    let mut found = BTreeMap::new();
    for (k, part) in rig.views[view].parts.iter().enumerate() {
        let drawings = std::iter::once(&part.art).chain(part.replacements.values());
        for art in drawings.filter_map(|d| d.art()) {
            let art = member.library().get(art).unwrap();
            let file = art.file.file_name().unwrap().to_string_lossy().into_owned();
            let same = drafted
                .parts
                .iter()
                .position(|p| p.drawing.file == file && p.drawing.elements.contains(&art.id));
            if let Some(same) = same {
                found.entry(k).or_insert(same);
            }
        }
    }
    found
}

fn compare(member: &ProjectMember, view: usize, drafted: &View, found: &mut Found) {
    let rig = member.rig();
    let own = &rig.views[view];
    let called = own.name.clone().unwrap_or_default();
    let to = matched(member, view, drafted);
    let name = |k: usize| rig.names[own.parts[k].name.at()].clone();
    let mut told = |what: String| {
        found.log += &format!("{} {called}: {what}\n", member.key());
    };
    // A drawing of the rig that is no part of the draft: a replacement there, or missed.
    let file = &drafted.file;
    for (k, part) in own.parts.iter().enumerate() {
        let Some(art) = part.art.art().and_then(|a| member.library().get(a)) else {
            continue;
        };
        if art.file.ends_with(file) && !to.contains_key(&k) {
            found.parents.count(false);
            told(format!("{} is no part", name(k)));
        }
    }
    for (&k, &d) in &to {
        let up = |k: &usize| own.parts[*k].parent.map(layfig::cast::PartId::at);
        let carrier = std::iter::successors(up(&k), up).find(|k| to.contains_key(k));
        let wanted = carrier.map(|k| to[&k]);
        let got = drafted.parts[d].parent.as_ref().map(|p| p.value);
        found.parents.count(wanted == got);
        if wanted != got {
            let called =
                |d: Option<usize>| d.map_or("nothing".into(), |d| drafted.parts[d].name.clone());
            told(format!(
                "{} is on {}, not {} ({})",
                name(k),
                called(got),
                called(wanted),
                drafted.parts[d]
                    .parent
                    .as_ref()
                    .map_or("", |p| p.why.as_str())
            ));
        }
    }
    let mut wanted_seams = Vec::new();
    for seam in &own.seams {
        let (Some(&p), Some(&c)) = (to.get(&seam.parent.at()), to.get(&seam.child.at())) else {
            continue;
        };
        wanted_seams.push([p, c]);
        let got = drafted.seams.iter().any(|s| [s.parent, s.child] == [p, c]);
        found.seams.count(got);
        if !got {
            told(format!(
                "no seam {} ({} {})",
                seam.name, drafted.parts[p].name, drafted.parts[c].name
            ));
        }
    }
    for seam in &drafted.seams {
        let is_false = !wanted_seams.contains(&[seam.parent, seam.child]);
        found.false_seams.count(is_false);
        if is_false {
            told(format!(
                "false seam {} {}",
                drafted.parts[seam.parent].name, drafted.parts[seam.child].name
            ));
        }
    }
    let mut wanted_masks = Vec::new();
    for mask in &own.masks {
        let of: Option<Vec<usize>> = mask.of.iter().map(|k| to.get(&k.at()).copied()).collect();
        let (Some(&part), Some(of)) = (to.get(&mask.part.at()), of) else {
            continue;
        };
        wanted_masks.push(part);
        let inside = mask.keep == layfig::cast::Keep::Inside;
        let got = drafted
            .masks
            .iter()
            .any(|m| m.part == part && of.iter().all(|k| m.of.contains(k)) && m.inside == inside);
        found.masks.count(got);
        if !got {
            told(format!("no mask of {} ({inside})", name(mask.part.at())));
        }
    }
    for mask in &drafted.masks {
        let is_false = !wanted_masks.contains(&mask.part);
        found.false_masks.count(is_false);
        if is_false {
            let [part, of] = [mask.part, mask.of[0]].map(|k| &drafted.parts[k].name);
            told(format!("false mask {part} of {of}: {}", mask.why.why));
        }
    }
    for garment in &own.garments {
        let Some(&part) = to.get(&garment.part.at()) else {
            continue;
        };
        let hosts: Vec<usize> = garment
            .on
            .iter()
            .filter_map(|h| to.get(&h.at()).copied())
            .collect();
        let got = drafted.garments.iter().find(|g| g.part == part);
        let right = got.is_some_and(|g| hosts.iter().all(|h| g.on.contains(h)));
        found.garments.count(right);
        if !right {
            let on = got.map(|g| {
                g.on.iter()
                    .map(|&h| drafted.parts[h].name.clone())
                    .collect::<Vec<_>>()
            });
            let all = Region::union_all(hosts.iter().map(|&h| &drafted.parts[h].shown.silhouette));
            let own = &drafted.parts[part].shown;
            let out = own.silhouette.difference(&all).area() / own.area;
            told(format!(
                "no garment {}: {on:?}, {:.0} % of it outside, on {:?}",
                name(garment.part.at()),
                100.0 * out,
                drafted.parts[part]
                    .parent
                    .as_ref()
                    .map(|p| &drafted.parts[p.value].name)
            ));
        }
    }
    for garment in &drafted.garments {
        let worn = |k: &usize| own.garments.iter().any(|g| g.part.at() == *k);
        if let Some((k, _)) = to.iter().find(|(_, d)| **d == garment.part)
            && !worn(k)
        {
            told(format!("false garment {}", name(*k)));
        }
    }
    // Pivots, by the width of the limb where the rig has its pivot.
    for (&k, &d) in &to {
        let part = &own.parts[k];
        let Some(carrier) = drafted.parts[d].parent.as_ref().map(|p| p.value) else {
            continue;
        };
        let (p, c) = (
            &drafted.parts[carrier].shown.silhouette,
            &drafted.parts[d].shown.silhouette,
        );
        let Some(joint) = Joint::new(p, c, part.pivot, Hidden::BOTH) else {
            continue;
        };
        let [x, y] = drafted.parts[d].pivot.value;
        let off = 100.0 * libm::hypot(x - part.pivot[0], y - part.pivot[1]) / joint.width;
        if own.seams.iter().any(|s| s.child.at() == k) {
            found.pivots.push(off);
            if off > 15.0 {
                told(format!(
                    "pivot of {} {off:.0} % off: {:?}, {:?} in the rig",
                    name(k),
                    [x.round(), y.round()],
                    part.pivot
                ));
            }
        }
        if part.limits.is_some() {
            found.turned.push(off);
        }
    }
    let posing = member
        .pose()
        .view(own.name.as_deref().unwrap_or_default())
        .unwrap();
    let order = posing.depth_order();
    let rank = |k: usize| order.iter().position(|n| *n == name(k)).unwrap();
    let all: Vec<(usize, usize)> = to.iter().map(|(a, b)| (*a, *b)).collect();
    for (n, &(a, x)) in all.iter().enumerate() {
        for &(b, y) in &all[n + 1..] {
            let drawn = |k: usize| own.parts[k].art.art().is_some();
            let (p, q) = (&drafted.parts[x].shown, &drafted.parts[y].shown);
            if x == y
                || !drawn(a)
                || !drawn(b)
                || p.silhouette.intersection(&q.silhouette).area() < 1.0
            {
                continue;
            }
            let right = (rank(a) < rank(b)) == (x < y);
            found.depth.count(right);
            let joined = own.seams.iter().any(|s| {
                [s.parent.at(), s.child.at()]
                    .iter()
                    .all(|k| [a, b].contains(k))
            });
            let worn = own.garments.iter().any(|g| [a, b].contains(&g.part.at()));
            let mut meet = p.silhouette.intersection(&q.silhouette);
            for (k, over) in drafted.parts.iter().enumerate() {
                if k > x.max(y) {
                    meet = meet.difference(&over.shown.silhouette);
                }
            }
            if !joined && !worn && meet.area() > 0.02 * p.area.min(q.area) {
                found.shown_depth.count(right);
                if !right {
                    told(format!("shown depth of {} and {}", name(a), name(b)));
                }
            }
            if !right {
                told(format!("depth of {} and {}", name(a), name(b)));
            }
        }
    }
}

fn drafted(key: &str) -> Draft {
    let folder = Path::new("rigs").join(key);
    let mut drawings: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|e| PathBuf::from(e.unwrap().file_name()))
        .filter(|p| p.extension().is_some_and(|e| e == "svg"))
        .collect();
    drawings.sort();
    draft(&Files::default(), &folder, &drawings)
        .unwrap_or_else(|(problems, _)| panic!("{problems:?}"))
}

#[test]
fn what_the_hand_made_rigs_say_is_found_in_their_drawings() {
    let project = Project::open(Files::disk("rigs")).unwrap();
    let mut all = Found::default();
    for member in project.members() {
        let draft = drafted(member.key());
        for (k, view) in member.rig().views.iter().enumerate() {
            let name = view.name.clone();
            let own = draft
                .views
                .iter()
                .find(|v| v.name == name || draft.views.len() == 1);
            compare(member, k, own.unwrap(), &mut all);
        }
    }
    println!("{}", all.log);
    println!(
        "parents {:.1} % of {}, seams {:.1} % of {}, false {:.1} % of {}, masks {:.1} % of {}, false {:.1} % of {}, garments {:.1} % of {}, depth {:.2} % of {}",
        all.parents.percent(),
        all.parents.1,
        all.seams.percent(),
        all.seams.1,
        all.false_seams.percent(),
        all.false_seams.1,
        all.masks.percent(),
        all.masks.1,
        all.false_masks.percent(),
        all.false_masks.1,
        all.garments.percent(),
        all.garments.1,
        all.depth.percent(),
        all.depth.1
    );
    println!(
        "depth of pairs whose order shows {:.1} % of {}",
        all.shown_depth.percent(),
        all.shown_depth.1
    );
    println!(
        "pivots of seams: median {:.1} %, 90th percentile {:.1} % of {}; of all that turns {:.1} %, {:.1} % of {}",
        at(&all.pivots, 0.5),
        at(&all.pivots, 0.9),
        all.pivots.len(),
        at(&all.turned, 0.5),
        at(&all.turned, 0.9),
        all.turned.len()
    );
    // The drawings stand in the order of the figures at rest, but for what is worn: it lies over its hosts, whatever its depth.
    assert!(all.parents.percent() >= 95.0);
    assert!(all.seams.percent() >= 90.0 && all.false_seams.percent() <= 5.0);
    assert!(all.garments.percent() >= 90.0);
    // The aim is 90 % of masks: the robot's column, neck and ram are not found, in both views.
    assert!(all.masks.percent() >= 76.0 && all.false_masks.percent() <= 5.0);
    assert!(at(&all.pivots, 0.5) < 6.0 && at(&all.pivots, 0.9) < 15.0);
    assert!(all.depth.percent() >= 98.0 && all.shown_depth.percent() >= 99.0);
}
