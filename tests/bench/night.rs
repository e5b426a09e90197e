//! A night of a generated cast: the first run, a run of the unchanged cast, a run after an edit of one
//! part, the same with approved sets to compare with; each the program itself, with its peak of resident
//! memory. Then how evenly shards would share it, by what its units took.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use crate::memory::watched;
use crate::show::folder;
use crate::table::{Table, short};

/// Prints the tables: 100 members of 100 poses each where `full` asks for it, else 20 of 50.
pub fn run(full: bool) {
    let (members, poses, approved) = if full { (100, 100, 10) } else { (20, 50, 2) };
    let work = folder();
    cast(work.path(), members, poses);
    let layfig = |words: &[&str]| {
        let mut layfig = Command::new(env!("CARGO_BIN_EXE_layfig"));
        layfig.current_dir(work.path()).args(words);
        layfig
    };
    let night = [
        "night",
        "cast.toml",
        "--out",
        "out",
        "--height",
        "256",
        "--progress",
        "none",
    ];
    let mut table = Table::new(&["night", "seconds", "of the first", "peak, MB"]);
    let mut first = None;
    for run in [
        "first",
        "unchanged",
        "one part edited",
        "first after approvals",
        "unchanged, approved",
        "one part edited, approved",
    ] {
        let edit = |from: &str, to: &str| {
            let file = work.path().join("member0/art.svg");
            let svg = std::fs::read_to_string(&file).expect("the drawing is there");
            std::fs::write(&file, svg.replacen(from, to, 1)).expect("it is written");
        };
        match run {
            "one part edited" => edit("#d99c78", "#d99c79"),
            "one part edited, approved" => edit("#d99c79", "#d9609f"),
            "first after approvals" => {
                for member in 0..approved {
                    let member = format!("member{member}");
                    let words = ["approve", &member, "--all", "--quiet", "--progress", "none"];
                    watched(&mut layfig(&words));
                }
            }
            _ => {}
        }
        let (seconds, peak) = watched(layfig(&night).arg("--quiet"));
        let share = seconds / *first.get_or_insert(seconds);
        table.row([
            run.to_owned(),
            short(seconds),
            format!("{:.1} %", share * 100.0),
            peak.map_or_else(|| "not known".into(), |kb| short(kb as f64 / 1024.0)),
        ]);
    }
    table.print(&format!(
        "Nights: {members} members of {poses} poses, pictures 256 px high, sheets of all kinds, checks; {approved} members approved"
    ));
    let mut table = Table::new(&["shards", "seconds of work", "most / mean"]);
    for shards in [2, 3, 4, 5, 8] {
        let loads: Vec<f64> = (1..=shards)
            .map(|shard| {
                let mut command = layfig(&night);
                let share = format!("{shard}/{shards}");
                command.args([
                    "--again",
                    "--dry-run",
                    "--messages",
                    "json",
                    "--shard",
                    &share,
                ]);
                let output = command.output().expect("the program runs");
                let told = String::from_utf8_lossy(&output.stdout).into_owned();
                let last = told.lines().last().expect("a summary");
                let summary: serde_json::Value = serde_json::from_str(last).expect("JSON");
                summary["summary"]["seconds"].as_f64().expect("seconds")
            })
            .collect();
        let (sum, most) = (
            loads.iter().sum::<f64>(),
            loads.iter().copied().fold(0.0, f64::max),
        );
        table.row([
            shards.to_string(),
            short(sum),
            format!("{:.3}", most / (sum / f64::from(shards))),
        ]);
    }
    table.print("Shards of that night, by the measured cost of its units");
}

/// Members of ten parts, each with its own proportions and poses.
fn cast(folder: &Path, members: usize, poses: usize) {
    let mut cast = String::from("[cast]\nname = \"Generated\"\n");
    for member in 0..members {
        let _ = writeln!(cast, "[member.member{member}]");
        let dir = folder.join(format!("member{member}"));
        std::fs::create_dir_all(&dir).expect("a folder is made");
        let mut svg =
            String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 600 900\">");
        let mut rig = String::from(
            "[character]\ncanvas = [600, 900]\nground = 880\nposes = [\"poses.toml\"]\n\
             [part.body]\nart = \"art.svg#body\"\npivot = [300, 500]\n",
        );
        let mut piece = |id: &str, x: f64, y: f64, w: f64, h: f64| {
            let r = w.min(h) / 2.0;
            let _ = write!(
                svg,
                "<g id=\"{id}\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"{r}\" fill=\"#d99c78\" stroke=\"#1e2436\" stroke-width=\"6\"/></g>"
            );
        };
        let stout = 120.0 + (member % 10) as f64 * 8.0;
        piece("body", 300.0 - stout / 2.0, 280.0, stout, 300.0);
        let mut seams = String::new();
        for (limb, x, y) in [
            ("arm_near", 360.0, 310.0),
            ("arm_far", 240.0, 310.0),
            ("leg_near", 330.0, 560.0),
            ("leg_far", 270.0, 560.0),
        ] {
            for (half, at) in [("upper", 0.0), ("lower", 130.0)] {
                piece(
                    &format!("{half}_{limb}"),
                    x - 25.0,
                    y + at - 25.0,
                    50.0,
                    180.0,
                );
                let parent = if half == "upper" {
                    "body".to_owned()
                } else {
                    format!("upper_{limb}")
                };
                let depth = if limb.ends_with("near") { 1 } else { -1 };
                let _ = writeln!(
                    rig,
                    "[part.{half}_{limb}]\nart = \"art.svg#{half}_{limb}\"\nparent = \"{parent}\"\npivot = [{x}, {}]\ndepth = {depth}\nlimits = [-60, 60]",
                    y + at
                );
            }
            let _ = writeln!(
                seams,
                "[seam.{limb}]\nparts = [\"upper_{limb}\", \"lower_{limb}\"]"
            );
        }
        piece("head", 245.0, 130.0, 110.0, 140.0);
        rig += "[part.head]\nart = \"art.svg#head\"\nparent = \"body\"\npivot = [300, 280]\n";
        svg.push_str("</svg>\n");
        let mut list = String::new();
        for pose in 0..poses {
            let angle = |step: usize, range: usize| {
                ((pose + member) * step % range) as f64 - range as f64 / 2.0
            };
            let _ = writeln!(
                list,
                "[pose.p{pose}]\nturn = {{ head = {}, upper_arm_near = {}, lower_arm_near = {}, upper_leg_far = {} }}",
                angle(3, 40),
                angle(13, 160),
                angle(11, 140),
                angle(7, 60)
            );
        }
        for (name, text) in [
            ("art.svg", &svg),
            ("rig.toml", &(rig + &seams)),
            ("poses.toml", &list),
        ] {
            std::fs::write(dir.join(name), text).expect("a file is written");
        }
    }
    std::fs::write(folder.join("cast.toml"), cast).expect("the cast is written");
}
