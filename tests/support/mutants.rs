//! Faults made by rule in a member, one at a time: every joint, seam, mask and garment of every view gets the
//! same ones, so that nobody picks which faults there are. Sizes are shares of the limb's width.

use std::collections::BTreeMap;
use std::sync::Arc;

use layfig::art::{ArtId, Library, Outline, Rgb};
use layfig::cast::{
    ColourName, Drawing, Keep, Member, Opens, Part, PartId, Pose, PoseEntry, PoseList, View, Zone,
    load_member, load_poses,
};
use layfig::check::check;
use layfig::diag::{Problems, Sources};
use layfig::geom::{Affine, Point};
use layfig::solve::Puppet;

/// A member with its drawings, and the same drawings in other colours and with other lines.
pub struct Subject {
    pub member: Member,
    pub lists: Vec<PoseList>,
    pub library: Library,
    /// For a drawing the same one recoloured, with lines heavier, with lines thinner.
    odd: BTreeMap<ArtId, [ArtId; 3]>,
}

/// A fault: what sort, where, which parts a finding must name, and the rig with it.
pub struct Mutant {
    pub sort: &'static str,
    pub what: String,
    pub names: Vec<String>,
    pub view: usize,
    pub member: Member,
}

/// `fill="#rrggbb"` with its channels changed round, so that it is no swatch.
fn recoloured(svg: &str) -> String {
    let mut out = String::with_capacity(svg.len());
    let mut rest = svg;
    while let Some(at) = rest.find("fill=\"#") {
        let hex = at + 7;
        let (head, tail) = rest.split_at(hex);
        out.push_str(head);
        let digits = tail.find('"').unwrap_or(0);
        if digits == 6 {
            out.push_str(&tail[2..6]);
            out.push_str(&tail[0..2]);
        } else {
            out.push_str(&tail[..digits]);
        }
        rest = &tail[digits..];
    }
    out.push_str(rest);
    out
}

/// All stroke widths times a factor.
fn relined(svg: &str, by: f64) -> String {
    let mut out = String::with_capacity(svg.len());
    let mut rest = svg;
    while let Some(at) = rest.find("stroke-width=\"") {
        let (head, tail) = rest.split_at(at + 14);
        out.push_str(head);
        let end = tail.find('"').unwrap_or(0);
        match tail[..end].parse::<f64>() {
            Ok(width) => out.push_str(&format!("{:.2}", width * by)),
            Err(_) => out.push_str(&tail[..end]),
        }
        rest = &tail[end..];
    }
    out.push_str(rest);
    out
}

impl Subject {
    /// A member of the demo cast.
    pub fn demo(name: &str) -> Self {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("rigs")
            .join(name);
        let (mut sources, mut problems, mut library) =
            (Sources::default(), Problems::default(), Library::new());
        let member = load_member(&folder, &mut sources, &mut problems, &mut library)
            .unwrap_or_else(|| panic!("{name}: {:#?}", problems.list()));
        let lists = member
            .poses
            .iter()
            .filter_map(|path| load_poses(path, &member, &mut sources, &mut problems))
            .collect();
        let dir = tempfile::tempdir().expect("a folder to work in");
        let span = member.views[0].parts[0].span;
        let drawn: Vec<(ArtId, std::path::PathBuf, String)> = library
            .all()
            .iter()
            .enumerate()
            .map(|(k, a)| {
                (
                    ArtId(u32::try_from(k).expect("few drawings")),
                    a.file.clone(),
                    a.id.clone(),
                )
            })
            .collect();
        let mut odd = BTreeMap::new();
        for (id, file, element) in drawn {
            let svg = std::fs::read_to_string(&file).expect("art is there");
            let stem = file.file_name().expect("a name").to_string_lossy();
            let changed = [recoloured(&svg), relined(&svg, 1.8), relined(&svg, 0.55)];
            let made: Vec<ArtId> = changed
                .iter()
                .enumerate()
                .filter_map(|(k, text)| {
                    let path = dir.path().join(format!("{k}-{stem}"));
                    if !path.exists() {
                        std::fs::write(&path, text).expect("a file is written");
                    }
                    library.load(
                        &mut sources,
                        &mut problems,
                        dir.path(),
                        &path,
                        &element,
                        span,
                    )
                })
                .collect();
            if let Ok(three) = <[ArtId; 3]>::try_from(made) {
                odd.insert(id, three);
            }
        }
        Self {
            member,
            lists,
            library,
            odd,
        }
    }

    /// What is found on a view: measure and parts.
    pub fn found(&self, member: Member, view: usize) -> Vec<(layfig::cast::Measure, Vec<String>)> {
        let puppet = Puppet::new(Arc::new(member), view, &self.library).unwrap();
        let lists: Vec<&PoseList> = self.lists.iter().collect();
        let list = check(&puppet, &lists).list.into_iter();
        list.map(|f| (f.measure, f.parts)).collect()
    }

    fn name(&self, view: &View, part: PartId) -> String {
        self.member.names[view.parts[part.at()].name.at()].clone()
    }

    /// All mutants of a view.
    pub fn mutants(&self, at: usize) -> Vec<Mutant> {
        let view = &self.member.views[at];
        let puppet = Puppet::new(Arc::new(self.member.clone()), at, &self.library).unwrap();
        let lists: Vec<&PoseList> = self.lists.iter().collect();
        let widths: BTreeMap<String, f64> = check(&puppet, &lists)
            .ranges
            .into_iter()
            .map(|r| (r.part, r.width))
            .collect();
        let mut all = Plan {
            subject: self,
            view,
            at,
            widths,
            made: Vec::new(),
        };
        for k in 0..view.seams.len() {
            all.seam(k);
        }
        for k in 0..view.masks.len() {
            all.mask(k);
        }
        for k in 0..view.garments.len() {
            all.garment(k);
        }
        for k in 0..view.parts.len() {
            all.part(PartId(u32::try_from(k).expect("few parts")));
        }
        all.made
    }
}

struct Plan<'a> {
    subject: &'a Subject,
    view: &'a View,
    at: usize,
    widths: BTreeMap<String, f64>,
    made: Vec<Mutant>,
}

const WAYS: [(&str, Point); 4] = [
    ("left", [-1.0, 0.0]),
    ("right", [1.0, 0.0]),
    ("up", [0.0, -1.0]),
    ("down", [0.0, 1.0]),
];

impl Plan<'_> {
    fn add(
        &mut self,
        sort: &'static str,
        detail: &str,
        parts: &[PartId],
        change: impl FnOnce(&mut View),
    ) {
        let names: Vec<String> = parts
            .iter()
            .map(|&p| self.subject.name(self.view, p))
            .collect();
        let mut member = self.subject.member.clone();
        change(&mut member.views[self.at]);
        let view = self.view.name.as_deref().unwrap_or("only");
        let what = format!("{} {view}: {} {detail}", self.subject.member.key, names[0]);
        self.made.push(Mutant {
            sort,
            what,
            names,
            view: self.at,
            member,
        });
    }

    fn width(&self, part: PartId) -> f64 {
        let name = self.subject.name(self.view, part);
        self.widths.get(&name).copied().unwrap_or(50.0)
    }

    fn seam(&mut self, k: usize) {
        let seam = self.view.seams[k].clone();
        let (p, c) = (seam.parent, seam.child);
        let both = [c, p];
        let w = self.width(c);
        self.add("seam left out", "", &both, |v| {
            v.seams.remove(k);
        });
        let turns = self.view.parts[c.at()].limits.is_some_and(|[a, b]| a < b);
        if turns {
            for (way, by) in WAYS {
                self.add("pivot off by a fifth", way, &both, |v| {
                    let from = v.parts[c.at()].pivot;
                    v.parts[c.at()].pivot = [from[0] + 0.2 * w * by[0], from[1] + 0.2 * w * by[1]];
                });
            }
            if let Some(grand) = self.view.parts[p.at()].parent
                && self.view.parts[c.at()].parent == Some(p)
            {
                self.add("carried by the wrong part", "", &both, |v| {
                    v.parts[c.at()].parent = Some(grand);
                });
            }
        }
        if !matches!(seam.zone, Zone::Art(_)) {
            self.add("zone too small", "", &both, |v| {
                v.seams[k].zone = Zone::Radius(0.3 * w);
            });
            self.add("zone too large", "", &both, |v| {
                v.seams[k].zone = Zone::Radius(4.0 * w);
            });
        }
        if seam.opens == Opens::Both {
            for (word, opens) in [("child", Opens::Child), ("parent", Opens::Parent)] {
                self.add("seam opens one ink only", word, &both, |v| {
                    v.seams[k].opens = opens;
                });
            }
        }
        if seam.patch.is_some() {
            self.add("patch left out", "", &both, |v| v.seams[k].patch = None);
        }
    }

    fn mask(&mut self, k: usize) {
        let mask = self.view.masks[k].clone();
        let parts = [&[mask.part], &mask.of[..]].concat();
        self.add("mask the wrong way round", "", &parts, |v| {
            v.masks[k].keep = match mask.keep {
                Keep::Inside => Keep::Outside,
                Keep::Outside => Keep::Inside,
            };
        });
        self.add("mask left out", "", &parts, |v| {
            v.masks.remove(k);
        });
        if let Some(parent) = self.view.parts[mask.part.at()].parent {
            let other = self.far_from(parent);
            self.add("mask of a far part", "", &parts, |v| {
                v.masks[k].of = vec![other];
            });
        }
    }

    /// Some drawn part that is neither the part nor near it in the hierarchy.
    fn far_from(&self, part: PartId) -> PartId {
        let parts = &self.view.parts;
        let drawn = |p: &Part| matches!(p.art, Drawing::Art(_));
        let here = parts[part.at()].pivot;
        let off = |p: &Part| libm::hypot(p.pivot[0] - here[0], p.pivot[1] - here[1]);
        let far = (0..parts.len())
            .filter(|&k| drawn(&parts[k]))
            .max_by(|&a, &b| off(&parts[a]).total_cmp(&off(&parts[b])));
        PartId(u32::try_from(far.unwrap_or(0)).expect("few parts"))
    }

    fn garment(&mut self, k: usize) {
        let garment = self.view.garments[k].clone();
        let parts = [&[garment.part], &garment.on[..]].concat();
        let part = garment.part;
        let w = self.width(garment.on[0]);
        self.add("garment left out", "", &parts, |v| {
            v.garments.remove(k);
        });
        if garment.trim.is_some() {
            self.add("trim left out", "", &parts, |v| v.garments[k].trim = None);
        }
        self.add("trim of another colour", "", &parts, |v| {
            v.garments[k].trim = Some(ColourName::Plain(Rgb([30, 200, 90])));
        });
        let far = self.far_from(garment.on[0]);
        self.add("garment on a far host", "", &parts, |v| {
            v.garments[k].on = vec![far];
        });
        for (way, by) in WAYS {
            self.add("garment moved by a third", way, &parts, |v| {
                let place = &mut v.parts[part.at()].place;
                place.shift = [
                    place.shift[0] + 0.33 * w * by[0],
                    place.shift[1] + 0.33 * w * by[1],
                ];
            });
        }
        for (word, by) in [("smaller", 0.8), ("larger", 1.25)] {
            let middle = self.subject.middle(self.view, part);
            self.add("garment of a wrong size", word, &parts, |v| {
                scale_about(&mut v.parts[part.at()], middle, by);
            });
        }
    }

    fn part(&mut self, part: PartId) {
        let seams: Vec<_> = self
            .view
            .seams
            .iter()
            .filter(|s| s.child == part || s.parent == part)
            .collect();
        let Some(seam) = seams.iter().find(|s| s.child == part) else {
            return;
        };
        let both = [part, seam.parent];
        let w = self.width(part);
        for (way, by) in WAYS {
            self.add("limb half moved by a third", way, &both, |v| {
                let place = &mut v.parts[part.at()].place;
                place.shift = [
                    place.shift[0] + 0.33 * w * by[0],
                    place.shift[1] + 0.33 * w * by[1],
                ];
            });
        }
        // About its far end: the joint that it carries, else its own middle.
        let far = seams
            .iter()
            .find(|s| s.parent == part)
            .map(|s| self.view.parts[s.child.at()].pivot)
            .unwrap_or_else(|| self.subject.middle(self.view, part));
        self.add("limb half too short", "", &both, |v| {
            scale_about(&mut v.parts[part.at()], far, 0.85);
        });
        self.add("limb half too large", "", &both, |v| {
            let pivot = v.parts[part.at()].pivot;
            scale_about(&mut v.parts[part.at()], pivot, 1.3);
        });
        if let Drawing::Art(id) = self.view.parts[part.at()].art
            && let Some(odd) = self.subject.odd.get(&id)
        {
            let sorts = ["wrong paint", "line too heavy", "line too thin"];
            for (sort, other) in sorts.into_iter().zip(odd) {
                let mut names = both.to_vec();
                names.extend(seams.iter().map(|s| s.child));
                self.add(sort, "", &names, |v| {
                    v.parts[part.at()].art = Drawing::Art(*other);
                });
            }
        }
    }
}

/// Scales art about a canvas point.
fn scale_about(part: &mut Part, about: Point, by: f64) {
    let place = &mut part.place;
    place.scale = place.scale.map(|s| s * by);
    for (shift, about) in place.shift.iter_mut().zip(about) {
        *shift = about + by * (*shift - about);
    }
}

/// Pixels of the largest spot that differs, before a fault counts as seen.
const SPOT: usize = 12;

impl Subject {
    /// True when a picture shows a fault: at rest, or with a joint of the parts named at the end of its limits.
    pub fn is_seen(&self, mutant: &Mutant) -> bool {
        let of = |member: &Member| {
            Puppet::new(Arc::new(member.clone()), mutant.view, &self.library).unwrap()
        };
        let (before, after) = (of(&self.member), of(&mutant.member));
        let view = &self.member.views[mutant.view];
        let mut poses = vec![Pose::rest()];
        for part in &view.parts {
            let name = &self.member.names[part.name.at()];
            if let (true, Some(limits)) = (mutant.names.contains(name), part.limits) {
                poses.extend(limits.map(|value| {
                    let mut pose = Pose::rest();
                    pose.turn.push(PoseEntry {
                        part: part.name,
                        value,
                        span: None,
                    });
                    pose
                }));
            }
        }
        poses.iter().any(|pose| {
            let [a, b] = [&before, &after].map(|puppet| {
                let figure = puppet.figure(pose).expect("a pose of one joint");
                super::support::picture(&figure, 0.5, Some(Rgb([255, 255, 255]))).pixels
            });
            super::support::difference(&a, &b).blob > SPOT
        })
    }

    /// The middle of a part's drawing, canvas units.
    fn middle(&self, view: &View, part: PartId) -> Point {
        let own = &view.parts[part.at()];
        let Drawing::Art(id) = own.art else {
            return own.pivot;
        };
        let place = Affine::translate(own.place.shift).after(own.place.linear());
        let mut bounds = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for shape in &self.library.get(id).unwrap().shapes {
            let (Outline::Fill { path, .. } | Outline::Stroke { path, .. }) = &shape.outline else {
                continue;
            };
            let to = place.after(shape.to_canvas);
            for p in path.points() {
                let [x, y] = to.apply([f64::from(p.x), f64::from(p.y)]);
                bounds = [
                    bounds[0].min(x),
                    bounds[1].min(y),
                    bounds[2].max(x),
                    bounds[3].max(y),
                ];
            }
        }
        [(bounds[0] + bounds[2]) / 2.0, (bounds[1] + bounds[3]) / 2.0]
    }
}
