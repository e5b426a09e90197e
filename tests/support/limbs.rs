//! Limbs of chosen widths, bent, in any depth order and with other things between: as a rig, and as a scene
//! that `line_law.py` reads.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use layfig::geom::Point;
use serde_json::{Value, json};

use super::support::Staged;

pub const INK: f64 = 4.0;

/// The hull of two discs, drawn along the x axis.
#[derive(Clone, Copy)]
pub struct Limb {
    pub name: &'static str,
    pub ends: [(Point, f64); 2],
    pub pivot: Point,
}

/// Something that no seam names.
#[derive(Clone, Copy)]
pub struct Other {
    pub name: &'static str,
    pub shape: Form,
    pub inked: bool,
}

#[derive(Clone, Copy)]
pub enum Form {
    Disc(Point, f64),
    Ring(&'static [Point]),
}

/// Limbs each carried by the one before and joined to it, other parts, and who is in front.
#[derive(Clone)]
pub struct Setup {
    pub limbs: Vec<Limb>,
    pub others: Vec<Other>,
    /// Back to front.
    pub order: Vec<&'static str>,
    /// Radius of every zone; `None` for an automatic one.
    pub zone: Option<f64>,
}

impl Limb {
    /// A white paint and a black line along its edge.
    fn svg(&self) -> String {
        let [(p, r), (q, s)] = self.ends;
        let length = libm::hypot(q[0] - p[0], q[1] - p[1]);
        // The outer tangents touch where the radius is at this angle from the axis.
        let cos = (r - s) / length;
        let sin = (1.0 - cos * cos).sqrt();
        let at =
            |c: Point, r: f64, side: f64| format!("{} {}", c[0] + r * cos, c[1] + side * r * sin);
        let path = format!(
            "M{} L{} A{s} {s} 0 {} 1 {} L{} A{r} {r} 0 {} 1 {} Z",
            at(p, r, -1.0),
            at(q, s, -1.0),
            u8::from(cos < 0.0),
            at(q, s, 1.0),
            at(p, r, 1.0),
            u8::from(cos >= 0.0),
            at(p, r, -1.0),
        );
        group(self.name, &path, Some("#000"))
    }
}

impl Other {
    fn svg(&self) -> String {
        let path = match self.shape {
            Form::Disc([x, y], r) => format!(
                "M{} {y} A{r} {r} 0 1 1 {} {y} A{r} {r} 0 1 1 {} {y} Z",
                x - r,
                x + r,
                x - r
            ),
            Form::Ring(points) => {
                let list: Vec<String> = points
                    .iter()
                    .map(|p| format!("{} {}", p[0], p[1]))
                    .collect();
                format!("M{} Z", list.join(" L"))
            }
        };
        // Red is white to who looks at the red channel only.
        group(self.name, &path, self.inked.then_some("#f00"))
    }
}

fn group(name: &str, path: &str, ink: Option<&str>) -> String {
    let line = ink.map_or(String::new(), |colour| {
        format!("<path id=\"{name}_ink\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{INK}\" stroke-linejoin=\"round\" d=\"{path}\"/>")
    });
    format!("<g id=\"{name}\"><path id=\"{name}_paint\" fill=\"#fff\" d=\"{path}\"/>{line}</g>\n")
}

impl Setup {
    fn place(&self, name: &str) -> f64 {
        self.order.iter().position(|n| *n == name).expect("a name") as f64
    }

    /// The rig with a pose for each list of turns, `p0`, `p1`, ..., and the same mirrored, `m0`, ...
    pub fn staged(&self, turns: &[Vec<f64>]) -> Staged {
        let [rig, svg, poses] = self.files(turns);
        Staged::write(&[("rig.toml", &rig), ("a.svg", &svg), ("p.toml", &poses)])
    }

    /// Rig, drawing and poses of that.
    pub fn files(&self, turns: &[Vec<f64>]) -> [String; 3] {
        let svg: String = self
            .limbs
            .iter()
            .map(Limb::svg)
            .chain(self.others.iter().map(Other::svg))
            .collect();
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 300 300\">\n{svg}</svg>"
        );
        let mut rig =
            "[character]\nname = \"limbs\"\ncanvas = [300, 300]\nposes = [\"p.toml\"]\n".to_owned();
        let mut parent: Option<&Limb> = None;
        for limb in &self.limbs {
            let carried = parent.map_or(String::new(), |p| format!("parent = \"{}\"\n", p.name));
            let depth = self.place(limb.name) - parent.map_or(0.0, |p| self.place(p.name));
            let _ = writeln!(
                rig,
                "[part.{0}]\nart = \"a.svg#{0}\"\n{carried}pivot = [{1}, {2}]\ndepth = {depth}",
                limb.name, limb.pivot[0], limb.pivot[1]
            );
            if let Some(p) = parent {
                let zone = self.zone.map_or("\"auto\"".to_owned(), |r| r.to_string());
                let _ = writeln!(
                    rig,
                    "[seam.{0}]\nparts = [\"{1}\", \"{0}\"]\nzone = {zone}",
                    limb.name, p.name
                );
            }
            parent = Some(limb);
        }
        for other in &self.others {
            let _ = writeln!(
                rig,
                "[part.{0}]\nart = \"a.svg#{0}\"\npivot = [0, 0]\ndepth = {1}",
                other.name,
                self.place(other.name)
            );
        }
        let mut poses = String::new();
        for (k, turns) in turns.iter().enumerate() {
            let list: Vec<String> = self.limbs[1..]
                .iter()
                .zip(turns)
                .map(|(l, t)| format!("{} = {t}", l.name))
                .collect();
            let list = list.join(", ");
            let _ = writeln!(
                poses,
                "[pose.p{k}]\nturn = {{ {list} }}\n[pose.m{k}]\nturn = {{ {list} }}\nmirror = true"
            );
        }
        [rig, svg, poses]
    }

    /// What `line_law.py` is asked about a pose.
    pub fn scene(&self, staged: &Staged, pose: &str, turns: &[f64], windows: bool) -> Value {
        let mut limbs = serde_json::Map::new();
        let mut seams = Vec::new();
        let figure = staged.figure(pose);
        for (k, limb) in self.limbs.iter().enumerate() {
            // About its own pivot first, then about those that carry it, all where they are drawn.
            let about: Vec<Value> = (1..=k)
                .rev()
                .map(|j| json!([turns[j - 1], self.limbs[j].pivot]))
                .collect();
            let ends: Vec<Value> = limb.ends.iter().map(|(p, r)| json!([p, r])).collect();
            limbs.insert(
                limb.name.to_owned(),
                json!({ "ends": ends, "turns": about }),
            );
            if k > 0 {
                let pivot = turned(limb.pivot, &turns[..k - 1], &self.limbs[1..k]);
                let zone = figure.seam_radius(limb.name).expect("a disc");
                seams.push(json!({ "of": [self.limbs[k - 1].name, limb.name], "pivot": pivot, "zone": zone }));
            }
        }
        let mut others = serde_json::Map::new();
        for other in &self.others {
            let mut given = match other.shape {
                Form::Disc(p, r) => json!({ "disc": [p, r] }),
                Form::Ring(points) => json!({ "ring": points }),
            };
            given["inked"] = json!(other.inked);
            others.insert(other.name.to_owned(), given);
        }
        json!({ "ink": INK, "limbs": limbs, "others": others, "order": self.order, "seams": seams, "windows": windows })
    }
}

/// A point carried by limbs that turn, the innermost last.
fn turned(p: Point, turns: &[f64], limbs: &[Limb]) -> Point {
    turns.iter().zip(limbs).rev().fold(p, |p, (t, limb)| {
        let (s, c) = libm::sincos(t.to_radians());
        let off = [p[0] - limb.pivot[0], p[1] - limb.pivot[1]];
        [
            limb.pivot[0] + c * off[0] - s * off[1],
            limb.pivot[1] + s * off[0] + c * off[1],
        ]
    })
}

/// What Shapely says of scenes.
pub fn by_shapely(scenes: &[Value]) -> Vec<Value> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut python = Command::new(root.join("target/tools/venv/bin/python"))
        .arg(root.join("tests/support/line_law.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("tests/support/setup.sh installs Shapely");
    let mut to = python.stdin.take().expect("a pipe");
    let asked = serde_json::to_vec(scenes).expect("JSON");
    to.write_all(&asked).expect("written");
    drop(to);
    let out = python.wait_with_output().expect("an answer");
    let all: Vec<Value> = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(all.len(), scenes.len());
    all
}
