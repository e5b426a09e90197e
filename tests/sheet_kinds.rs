//! Model sheets, turnarounds and the other kinds, from files to pixels.
//!
//! The worked figure has the proportions of Vitruvius, De architectura III.1.2-3
//! (`reference/vitruvius.csv`, provenance in its header). He contradicts himself between the rows of
//! the head and those of the breast, so each row is a measure of its own.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;

use layfig::art::{Library, Rgb};
use layfig::build::{self, Choice, Only, Pages, Plan, Views};
use layfig::cast::{SheetKind, load_member};
use layfig::diag::{Problems, Sources};
use layfig::draw::{self, Scratch};
use layfig::project::Subject;
use layfig::sheet::{Document, Item, Look, number, raster, share};
use tempfile::TempDir;
use tiny_skia::Pixmap;

/// Height of the worked figure, units, and where it stands.
const HEIGHT: f64 = 1200.0;
const CROWN: f64 = 100.0;

/// One row of the table: what, as a fraction, as a number.
fn vitruvius() -> Vec<(String, String, f64)> {
    include_str!("reference/vitruvius.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| {
            let mut fields = line.rsplitn(3, ',');
            let value = fields.next().expect("a number").parse().expect("a number");
            let fraction = fields.next().expect("a fraction").to_owned();
            let name = fields.next().expect("a name").to_owned();
            (name, fraction, value)
        })
        .collect()
}

/// A member of two views: head, chest and body, one block of colour each. `chin` is where the head
/// ends in the side view.
fn write_figure(folder: &Path, chin: f64) {
    fs::create_dir_all(folder).expect("a folder");
    let mut rig = format!(
        "[character]\nname = \"Vitruvius\"\ncanvas = [1400, 1400]\nground = {}\ncrown = {CROWN}\nheads = 8\nheight = \"180 cm\"\n\
         [views]\nfront = \"front.toml\"\nside = \"side.toml\"\n\
         [palette.day]\nred = \"#ff0000\"\ngreen = \"#00ff00\"\nblue = \"#0000ff\"\n\
         [palette.dusk]\nred = \"#800000\"\n",
        CROWN + HEIGHT
    );
    fs::write(folder.join("rig.toml"), &rig).expect("a file");
    for (view, chin) in [("front", CROWN + HEIGHT / 8.0), ("side", chin)] {
        let breast = CROWN + HEIGHT / 4.0;
        let ground = CROWN + HEIGHT;
        let block = |id: &str, colour: &str, top: f64, bottom: f64| {
            format!(
                "<g id=\"{id}\"><path d=\"M600 {top}H800V{bottom}H600Z\" fill=\"{colour}\"/></g>"
            )
        };
        let art = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1400 1400\">{}{}{}{}</svg>",
            block("body", "#0000ff", breast, ground),
            block("chest", "#00ff00", CROWN + 10.0, breast),
            block("head", "#ff0000", CROWN, chin),
            block("hat", "#0000ff", CROWN + 20.0, CROWN + 40.0),
        );
        fs::write(folder.join(format!("{view}.svg")), art).expect("a file");
        rig = format!(
            "[part.body]\nart = \"{view}.svg#body\"\npivot = [700, 800]\n\
             [part.chest]\nart = \"{view}.svg#chest\"\nparent = \"body\"\npivot = [700, 400]\n\
             [part.head]\nart = \"{view}.svg#head\"\nparent = \"chest\"\npivot = [700, 250]\n\
             replacements = {{ hat = \"{view}.svg#hat\" }}\n\
             [landmarks]\nchin = {{ part = \"head\", at = \"bottom\" }}\n\
             breast = {{ part = \"chest\", at = \"bottom\" }}\n\
             [note.head]\npart = \"head\"\ntext = \"an eighth\"\n"
        );
        for (at, (_, _, value)) in vitruvius().iter().enumerate() {
            let length = value * HEIGHT;
            let _ = write!(
                rig,
                "[measure.row_{at}]\nalong = [[100, 50], [{}, 50]]\n",
                100.0 + length
            );
        }
        fs::write(folder.join(format!("{view}.toml")), rig).expect("a file");
    }
}

/// Reads the member and lays out sheets of a kind.
fn sheets(folder: &Path, kind: SheetKind) -> (Plan, Vec<Document>, usize) {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let mut library = Library::new();
    let member = load_member(folder, &mut sources, &mut problems, &mut library);
    assert!(problems.is_ok(), "{:?}", problems.list());
    let subjects = [Subject {
        member: Arc::new(member.expect("a member")),
        library: Arc::new(library),
        lists: Vec::new(),
    }];
    let choice = Choice {
        views: Views::First,
        only: Only::All,
        poses: Vec::new(),
    };
    let (mut plan, _) = Plan::new(&subjects, &choice);
    plan.add_kinds(&subjects, &[kind], false, &choice);
    let puppets = build::puppets(&plan);
    let rehearsal = build::rehearse(&puppets, &plan.jobs(), 1, true);
    let pages = Pages::default();
    let (groups, out) = (plan.sheets(&[], false), Path::new("out"));
    let laid = build::lay_out_sheets((&plan, &groups), &puppets, &rehearsal, "cast", out, &pages);
    let laid = laid.expect("it fits");
    let documents = laid.sheets.into_iter().map(|sheet| sheet.document);
    (plan, documents.collect(), laid.findings.len())
}

fn drawn(plan: &Plan, document: &Document) -> Pixmap {
    let puppets = build::puppets(plan);
    let jobs = plan.jobs();
    raster::draw(&document.pages[0], &|at, to_page, pixels| {
        let figure = puppets[jobs[at].model]
            .figure(jobs[at].pose)
            .map_err(|problem| problem.message)?;
        draw::draw_onto(&figure, to_page, pixels, &mut Scratch::default())
            .map_err(|why| why.to_string())
    })
}

/// Where a figure goes on the page: scale, and what is added to y.
fn placed(document: &Document, at: usize) -> [f64; 3] {
    let figure = document.pages[0].figures().nth(at).expect("a figure");
    [figure.to_page.d, figure.to_page.f, figure.to_page.e]
}

fn channel(pixels: &Pixmap, x: u32, y: u32, channel: usize) -> f64 {
    let p = pixels.pixel(x, y).expect("within the page");
    f64::from([p.red(), p.green(), p.blue()][channel])
}

/// The middle of each dark line that crosses a column, pixels.
fn lines(pixels: &Pixmap, x: u32, paper: Rgb, rows: std::ops::Range<u32>) -> Vec<f64> {
    let mut found = Vec::new();
    let (mut weight, mut moment) = (0.0, 0.0);
    for y in rows {
        let dark = (f64::from(paper.0[0]) - channel(pixels, x, y, 0)).max(0.0);
        if dark > 2.0 {
            weight += dark;
            moment += dark * (f64::from(y) + 0.5);
        } else if weight > 0.0 {
            found.push(moment / weight);
            (weight, moment) = (0.0, 0.0);
        }
    }
    found
}

#[test]
fn every_row_of_vitruvius_comes_out_as_the_fraction_that_he_gives() {
    let folder = TempDir::new().expect("a folder");
    write_figure(folder.path(), CROWN + 150.0);
    let (_, documents, _) = sheets(folder.path(), SheetKind::Model);
    let words: Vec<&str> = documents[0].pages[0]
        .words()
        .map(|w| w.text.as_str())
        .collect();
    for (at, (name, fraction, value)) in vitruvius().iter().enumerate() {
        // The chin's row is of the face, a tenth; the span is the whole height.
        let expect = match fraction.as_str() {
            "1" => "100 %".to_owned(),
            "1/3" => share(0.1 / 3.0),
            other => other.to_owned(),
        };
        let row = format!("row {at}");
        let start = words
            .iter()
            .position(|w| *w == row)
            .expect("a row of the table");
        let [units, heads, of_height] = words[start + 1..start + 4] else {
            panic!("three numbers");
        };
        assert_eq!(of_height, expect, "{name}");
        assert_eq!(units, number(value * HEIGHT, 0), "{name}");
        assert_eq!(heads, number(value * 8.0, 2), "{name}");
    }
}

#[test]
fn the_ruler_stands_where_the_rig_and_the_drawing_say() {
    let folder = TempDir::new().expect("a folder");
    write_figure(folder.path(), CROWN + 150.0);
    let (plan, documents, _) = sheets(folder.path(), SheetKind::Model);
    let document = &documents[0];
    let pixels = drawn(&plan, document);
    let [scale, shift, across] = placed(document, 0);
    let panel = Look::default().paper.colours().panel;
    // The panel's left side is at the margin; ticks end 112 px from there.
    let x = 72 + 112 - 6;
    let level = |y: f64| y * scale + shift;
    let (top, bottom) = (level(CROWN) - 10.0, level(CROWN + HEIGHT) + 10.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "on a page"
    )]
    let rows = top as u32..bottom as u32;
    let ticks = lines(&pixels, x, panel, rows);
    assert_eq!(ticks.len(), 8 * 4 + 1, "quarters of eight heads: {ticks:?}");
    let mut worst: f64 = 0.0;
    for (at, tick) in ticks.iter().enumerate() {
        let expect = level(CROWN + HEIGHT * at as f64 / 32.0);
        worst = worst.max((tick - expect).abs());
    }
    assert!(worst < 0.5, "a tick is off by {worst} px");
    // The head is red over green, the chest green over blue: their lower edges on the page.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "on a page"
    )]
    let column = (620.0 * scale + across) as u32;
    for (tick, colour, heads) in [(4, 0, 1.0), (8, 1, 2.0)] {
        let from = libm::floor(level(CROWN + HEIGHT * (heads - 0.5) / 8.0));
        let to = libm::floor(level(CROWN + HEIGHT * (heads + 0.5) / 8.0));
        let mut edge = from;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "on a page"
        )]
        for y in from as u32..to as u32 {
            edge += channel(&pixels, column, y, colour) / 255.0;
        }
        let off = (edge - ticks[tick]).abs();
        assert!(
            off < 0.5,
            "{heads} heads: drawn at {edge}, ruled at {}",
            ticks[tick]
        );
    }
}

#[test]
fn guides_run_through_the_drawn_landmarks_of_all_views() {
    let folder = TempDir::new().expect("a folder");
    write_figure(folder.path(), CROWN + 150.0);
    let (plan, documents, findings) = sheets(folder.path(), SheetKind::Turnaround);
    assert_eq!(findings, 0);
    let document = &documents[0];
    let pixels = drawn(&plan, document);
    let panel = Look::default().paper.colours().panel;
    for view in 0..2 {
        let [scale, shift, across] = placed(document, view);
        // Just left of the figure, where only guides are.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "on a page"
        )]
        let (x, rows) = (
            (600.0 * scale + across) as u32 - 8,
            (CROWN * scale + shift - 10.0) as u32..((CROWN + HEIGHT) * scale + shift + 10.0) as u32,
        );
        let found = lines(&pixels, x, panel, rows);
        let expect = [0.0, 1.0 / 8.0, 0.25, 1.0].map(|v| (CROWN + v * HEIGHT) * scale + shift);
        assert_eq!(found.len(), expect.len(), "{found:?}");
        for (found, expect) in found.iter().zip(expect) {
            assert!(
                (found - expect).abs() < 0.5,
                "guide at {found}, landmark at {expect}"
            );
        }
    }
}

fn layfig(args: &[&str], out: &Path) -> (i32, String) {
    let run = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args(args)
        .arg("--out")
        .arg(out)
        .args(["--messages", "short"])
        .output()
        .expect("it runs");
    let told = String::from_utf8_lossy(&run.stderr).into_owned();
    (run.status.code().unwrap_or(-1), told)
}

#[test]
fn a_landmark_that_drifts_is_named_flagged_and_in_the_exit_code() {
    let folder = TempDir::new().expect("a folder");
    let rig = folder.path().join("figure");
    let out = folder.path().join("out");
    let turnaround = |chin: f64| {
        write_figure(&rig, CROWN + chin);
        let path = rig.to_str().expect("a plain path").to_owned();
        layfig(&["sheet", &path, "--kind", "turnaround"], &out)
    };
    // 1 % of the height is 12 units.
    let (code, told) = turnaround(150.0 + 11.5);
    assert_eq!((code, told.contains("drifts")), (0, false), "{told}");
    let (code, told) = turnaround(150.0 + 25.0);
    assert_eq!(code, 1, "{told}");
    let expect = "chin drifts by 2.1 % of the height, more than 1 %: side 2.1 % lower";
    assert!(told.contains(expect), "{told}");
    assert!(told.contains("front.toml:"), "with its place: {told}");
    assert!(out.join("figure/turnaround.sheet.png").exists());
    // And on the sheet itself, in the colour of alarm.
    let (_, documents, findings) = sheets(&rig, SheetKind::Turnaround);
    assert_eq!(findings, 1);
    let page = &documents[0].pages[0];
    let alarm = Look::default().paper.colours().alarm;
    assert!(
        page.words()
            .any(|w| w.text.contains("chin drifts") && w.colour == alarm)
    );
    let marks = page.items.iter().filter(|item| match item {
        Item::Shape(shape) => shape.stroke.as_ref().is_some_and(|s| s.colour == alarm),
        _ => false,
    });
    assert!(marks.count() >= 2);
    let allowed = fs::read_to_string(rig.join("rig.toml")).expect("a file");
    let allowed = allowed.replace("heads = 8\n", "heads = 8\ndrift = 2.5\n");
    fs::write(rig.join("rig.toml"), allowed).expect("a file");
    let path = rig.to_str().expect("a plain path");
    assert_eq!(layfig(&["sheet", path, "--kind", "turnaround"], &out).0, 0);
}

// A pose that is said once has its turnaround; at rest landmarks are compared, in a pose they go with the body.
#[test]
fn a_pose_has_its_turnaround() {
    let out = TempDir::new().expect("a folder");
    let rig = "rigs/deckhand";
    let args = ["sheet", rig, "--kind", "turnaround", "--pose", "wave,haul"];
    let (code, told) = layfig(&args, out.path());
    assert_eq!(code, 0, "{told}");
    let made = ["wave", "haul"].map(|pose| {
        let file = format!("deckhand/turnaround.{pose}.sheet.png");
        fs::read(out.path().join(&file)).unwrap_or_else(|_| panic!("{file}"))
    });
    assert_ne!(made[0], made[1]);
    assert!(!out.path().join("deckhand/turnaround.sheet.png").exists());
    let none = ["sheet", rig, "--kind", "turnaround", "--pose", "nonesuch"];
    assert_ne!(layfig(&none, out.path()).0, 0);
}

#[test]
fn all_kinds_of_the_demo_cast_in_one_command() {
    let out = TempDir::new().expect("a folder");
    let kinds = "model,turnaround,expressions,charts,line-up,colours";
    let args = [
        "sheet",
        "rigs/cast.toml",
        "--kind",
        kinds,
        "--page",
        "1400x1000",
    ];
    let (code, told) = layfig(&args, out.path());
    assert_eq!(code, 0, "{told}");
    for file in [
        "line-up.sheet.png",
        "deckhand/turnaround.sheet.png",
        "deckhand/three_quarter/model.sheet.png",
        "ship_dog/model.sheet.png",
        "mooring_bot/turnaround.sheet.png",
        "mooring_bot/front/chart.claws.sheet.png",
    ] {
        assert!(out.path().join(file).exists(), "{file}");
    }
    let starts = |folder: &str, start: &str| {
        let mut all = fs::read_dir(out.path().join(folder)).expect("a folder");
        all.any(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .starts_with(start)
        })
    };
    for start in ["expressions.", "chart.mouths.", "chart.hands.", "colours."] {
        assert!(starts("deckhand/three_quarter", start), "{start}");
    }
}
