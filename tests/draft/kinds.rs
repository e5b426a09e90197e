//! Twelve drawings of kinds that drawing programs save: each becomes a rig that looks at rest like the drawing itself.
//! The drawing's own look is resvg's.

use std::path::{Path, PathBuf};
use std::process::Command;

use layfig::check::{Hidden, Joint};
use layfig::draft::{Draft, View, draft, texts};
use layfig::{Files, Project};
use resvg::usvg::{Options, Transform, Tree};

/// Pixels on the longer side.
const SIDE: f64 = 500.0;

/// A drawing, what carries what in it, and what else must be found.
struct Kind {
    file: &'static str,
    carried: &'static [(&'static str, &'static str)],
    /// Part and replacements.
    drawn: &'static [(&'static str, &'static [&'static str])],
    /// Part and where it turns: what the artist marked.
    marked: &'static [(&'static str, [f64; 2])],
    masked: &'static [(&'static str, &'static str)],
}

const NONE: Kind = Kind {
    file: "",
    carried: &[],
    drawn: &[],
    marked: &[],
    masked: &[],
};

const PURSER: &[(&str, &str)] = &[
    ("torso", "hips"),
    ("neck", "torso"),
    ("head", "neck"),
    ("hair", "head"),
    ("cap", "head"),
    ("mouth", "head"),
];

const KINDS: &[Kind] = &[
    Kind {
        file: "purser_labels.svg",
        carried: &[
            ("forearm_left", "upper_arm_left"),
            ("hand_right", "forearm_right"),
            ("thigh_left", "hips"),
            ("foot_right", "shin_right"),
            ("torso", "hips"),
            ("iris_left", "eye_left"),
        ],
        masked: &[("iris_left", "eye_left"), ("iris_right", "eye_right")],
        ..NONE
    },
    Kind {
        file: "purser_data_names.svg",
        carried: &[
            ("forearm_l", "upper_arm_l"),
            ("hand_r", "forearm_r"),
            ("thigh_l", "hips"),
        ],
        drawn: &[
            ("hand_l", &["fist", "point"]),
            ("hand_r", &["fist", "point"]),
        ],
        ..NONE
    },
    Kind {
        file: "purser_classes.svg",
        carried: PURSER,
        drawn: &[("mouth", &["open"])],
        ..NONE
    },
    Kind {
        file: "lantern_fills_and_lines.svg",
        carried: &[("flame", "cage"), ("chain", "cage"), ("hook", "chain")],
        ..NONE
    },
    Kind {
        file: "mate_nested_marks.svg",
        carried: &[
            ("arm_near", "torso"),
            ("forearm_near", "arm_near"),
            ("hand_near", "forearm_near"),
            ("head", "neck"),
            ("pupil", "eye"),
            ("shin_far", "leg_far"),
        ],
        marked: &[
            ("arm_near", [300.0, 282.0]),
            ("forearm_near", [292.0, 381.0]),
            ("leg_near", [300.0, 484.0]),
        ],
        masked: &[("pupil", "eye")],
        ..NONE
    },
    Kind {
        file: "purser_mirrored.svg",
        carried: &[
            ("forearm_r", "upper_arm_r"),
            ("upper_arm_r", "torso"),
            ("foot_l", "shin_l"),
        ],
        ..NONE
    },
    Kind {
        file: "crew_two_views.svg",
        carried: PURSER,
        ..NONE
    },
    Kind {
        file: "gull_plain_ids.svg",
        carried: &[
            ("neck", "body"),
            ("head", "neck"),
            ("beak", "head"),
            ("wing_near", "body"),
            ("wing_far", "body"),
            ("tail", "body"),
            ("foot_near", "leg_near"),
            ("leg_far", "body"),
        ],
        masked: &[("pupil", "eye")],
        ..NONE
    },
    Kind {
        file: "crab_serif_ids.svg",
        carried: &[
            ("leg_1_l_lower", "leg_1_l_upper"),
            ("leg_3_r_lower", "leg_3_r_upper"),
            ("leg_2_l_upper", "shell"),
            ("pincer_arm_r", "shell"),
            ("pincer_r", "pincer_arm_r"),
            ("stalk_l", "shell"),
            ("eye_l", "stalk_l"),
        ],
        ..NONE
    },
    Kind {
        file: "winch_machine.svg",
        carried: &[
            ("column", "base"),
            ("boom", "column"),
            ("jib", "boom"),
            ("hook", "jib"),
            ("drum", "column"),
            ("crank", "drum"),
            ("handle", "crank"),
        ],
        ..NONE
    },
    Kind {
        file: "purser_unnamed.svg",
        ..NONE
    },
    Kind {
        file: "cook_centres_and_clips.svg",
        carried: &[
            ("head", "neck"),
            ("brow_left", "head"),
            ("hat", "head"),
            ("nose", "head"),
        ],
        // From the middle of the box, 2 to the right and 98 down.
        marked: &[("head", [252.0, 294.0]), ("neck", [250.0, 349.0])],
        masked: &[("looks_left", "white_left"), ("looks_right", "white_right")],
        ..NONE
    },
];

struct Made {
    folder: tempfile::TempDir,
    draft: Draft,
}

fn made(file: &str) -> Made {
    made_of(
        file,
        &std::fs::read_to_string(Path::new("tests/draft/art").join(file)).unwrap(),
    )
}

fn made_of(file: &str, text: &str) -> Made {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join(file), text).unwrap();
    let draft = draft(&Files::default(), folder.path(), &[PathBuf::from(file)]);
    let draft = draft.unwrap_or_else(|(problems, _)| panic!("{file}: {problems:?}"));
    for (name, text) in texts(&draft) {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    Made { folder, draft }
}

/// The drawing itself on white, other views left out.
fn reference(mut text: String, view: Option<&str>, [w, h]: [u32; 2]) -> Vec<u8> {
    let other = match view {
        Some("front") => "inkscape:label=\"Side view\"",
        _ => "inkscape:label=\"Front\"",
    };
    if view.is_some() {
        text = text.replace(other, &format!("{other} display=\"none\""));
    }
    let tree = Tree::from_str(&text, &Options::default()).unwrap();
    let mut pixels = tiny_skia::Pixmap::new(w, h).unwrap();
    pixels.fill(tiny_skia::Color::WHITE);
    let (sx, sy) = (
        w as f32 / tree.size().width(),
        h as f32 / tree.size().height(),
    );
    resvg::render(&tree, Transform::from_scale(sx, sy), &mut pixels.as_mut());
    pixels.take()
}

/// The mean difference of a channel outside the zones of seams.
fn difference(made: &Made, view: &View, project: &Project) -> f64 {
    let canvas = made.draft.canvas;
    let scale = SIDE / canvas[0].max(canvas[1]);
    let member = &project.members()[0];
    let figure = member
        .pose()
        .view(view.name.as_deref().unwrap_or_default())
        .unwrap();
    let picture = figure.render(scale).unwrap();
    let text = std::fs::read_to_string(made.folder.path().join(&view.file)).unwrap();
    let want = reference(text, view.name.as_deref(), [picture.width, picture.height]);
    let zones: Vec<([f64; 2], f64)> = view
        .seams
        .iter()
        .map(|seam| {
            let [p, c] = [seam.parent, seam.child].map(|k| &view.parts[k]);
            let pivot = c.pivot.value;
            let joint = Joint::new(
                &p.shown.silhouette,
                &c.shown.silhouette,
                pivot,
                Hidden::BOTH,
            );
            // Lines meet at the crook up to bends of 100 degrees: half the width over cos 50, and a line's width.
            let width = joint.map_or(0.0, |j| j.width);
            (
                pivot,
                width / 2.0 / libm::cos(50.0_f64.to_radians()) + p.shown.line + c.shown.line,
            )
        })
        .collect();
    let (mut sum, mut count) = (0.0, 0.0);
    for y in 0..picture.height {
        for x in 0..picture.width {
            let at = [(f64::from(x) + 0.5) / scale, (f64::from(y) + 0.5) / scale];
            if zones
                .iter()
                .any(|(c, r)| libm::hypot(at[0] - c[0], at[1] - c[1]) < *r)
            {
                continue;
            }
            let k = 4 * (y * picture.width + x) as usize;
            let alpha = f64::from(picture.rgba[k + 3]) / 255.0;
            for channel in 0..3 {
                let own = f64::from(picture.rgba[k + channel]) * alpha + 255.0 * (1.0 - alpha);
                sum += (own - f64::from(want[k + channel])).abs();
                count += 1.0;
            }
        }
    }
    sum / count
}

#[test]
fn every_kind_of_drawing_becomes_a_rig_that_looks_like_it() {
    let mut wrong = Vec::new();
    for kind in KINDS {
        let file = kind.file;
        let made = made(file);
        let project = match Project::open(Files::disk(made.folder.path())) {
            Ok(project) => project,
            Err(e) => {
                wrong.push(format!("{file}: {e}"));
                continue;
            }
        };
        for view in &made.draft.views {
            let off = difference(&made, view, &project);
            println!(
                "{file} {}: {} parts, {} seams, {off:.3}/255, masks {:?}",
                view.name.as_deref().unwrap_or_default(),
                view.parts.len(),
                view.seams.len(),
                view.masks.iter().map(|m| &m.why.why).collect::<Vec<_>>()
            );
            if off >= 1.0 {
                wrong.push(format!("{file} {:?}: {off:.2}/255", view.name));
            }
        }
        facts(kind, &made.draft.views[0], &mut wrong);
        // Said once, where a page does not begin at 0 0.
        let rig = std::fs::read_to_string(made.folder.path().join("rig.toml")).unwrap();
        let corner = made.draft.views[0].corner != [0.0, 0.0];
        if rig.matches("place = ").count() != usize::from(corner) {
            wrong.push(format!("{file}: {rig}"));
        }
        for command in ["lint", "check"] {
            let run = Command::new(env!("CARGO_BIN_EXE_layfig"))
                .args([command, "rig.toml", "--messages", "short"])
                .current_dir(made.folder.path())
                .output()
                .unwrap();
            if run.status.code() != Some(0) {
                let told = String::from_utf8_lossy(&run.stderr).into_owned()
                    + &String::from_utf8_lossy(&run.stdout);
                let errors: Vec<&str> = told.lines().filter(|l| l.contains("error")).collect();
                wrong.push(format!(
                    "{file}: {command} {:?} {errors:#?}",
                    run.status.code()
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

fn facts(kind: &Kind, view: &View, wrong: &mut Vec<String>) {
    let mut told = |what: String| wrong.push(format!("{}: {what}", kind.file));
    let part = |name: &str| view.parts.iter().find(|p| p.name == name);
    let name = |k: usize| view.parts[k].name.as_str();
    for (child, parent) in kind.carried {
        let got = part(child).map(|p| p.parent.as_ref().map(|p| name(p.value)));
        if got != Some(Some(parent)) {
            told(format!("{child} on {got:?}, not {parent}"));
        }
    }
    for (own, names) in kind.drawn {
        let got: Option<Vec<&str>> =
            part(own).map(|p| p.replacements.iter().map(|(n, _)| n.as_str()).collect());
        if got.as_deref() != Some(names) {
            told(format!("{own} has {got:?}"));
        }
    }
    for (own, at) in kind.marked {
        let got = part(own).map(|p| p.pivot.value);
        let near = got.is_some_and(|g| (g[0] - at[0]).abs() < 0.1 && (g[1] - at[1]).abs() < 0.1);
        if !near {
            told(format!("{own} turns at {got:?}"));
        }
    }
    for (own, of) in kind.masked {
        if !view
            .masks
            .iter()
            .any(|m| name(m.part) == *own && m.of.iter().any(|k| name(*k) == *of) && m.inside)
        {
            told(format!("{own} is not masked by {of}"));
        }
    }
}

/// Figures that we did not draw, their groups without names, out of a set with a permissive licence.
#[test]
fn drawings_by_others_become_rigs_that_look_like_them() {
    let set = crate::third_party_art::fetched("noto");
    let icons = set["icons"].as_object().unwrap();
    let layered =
        |icon: &serde_json::Value| icon["body"].as_str().unwrap().matches("<g").count() > 2;
    let people = ["man-", "woman-", "cat", "dog", "fairy", "person-"];
    let wanted: Vec<_> = icons
        .iter()
        .filter(|(name, icon)| people.iter().any(|p| name.starts_with(p)) && layered(icon))
        .collect();
    let (mut drafted, mut off_by, mut masked) = (0, Vec::new(), 0);
    for (name, icon) in wanted.iter().step_by(wanted.len() / 20).take(20) {
        let body = icon["body"].as_str().unwrap();
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 128 128\">{body}</svg>"
        );
        let made = made_of("a.svg", &text);
        let project = Project::open(Files::disk(made.folder.path())).unwrap();
        let off = difference(&made, &made.draft.views[0], &project);
        let view = &made.draft.views[0];
        println!("{name}: {} parts, {off:.3}/255", view.parts.len());
        for mask in &view.masks {
            let names = mask.of.iter().map(|k| &view.parts[*k].name);
            println!("  {} {:?}", mask.why.why, names.collect::<Vec<_>>());
        }
        masked += view.masks.iter().filter(|m| !m.inside).count();
        if off >= 1.0 {
            off_by.push(format!("{name}: {off:.2}/255"));
        }
        drafted += 1;
    }
    assert!(off_by.is_empty(), "{off_by:#?}");
    assert_eq!(drafted, 20);
    // People, cats and dogs have no rods.
    println!("{masked} masks by straight sides");
    assert!(masked <= 2, "{masked}");
}
