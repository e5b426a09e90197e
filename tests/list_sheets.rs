//! Sheets that pose lists ask for with `[sheet.<name>]`, from files to pages.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use layfig::art::Library;
use layfig::build::{self, Choice, Filter, Laid, Only, Pages, Plan, Views};
use layfig::cast::{PageSetup, PoseList, Stock, load_member, load_poses};
use layfig::diag::{Problems, Sources};
use layfig::project::Subject;
use layfig::sheet::{Page, Paper};
use tempfile::TempDir;

const RIG: &str = r##"[character]
name = "Mate"
canvas = [400, 400]
ground = 390
[views]
front = "front.toml"
side = "side.toml"
[palette.day]
coat = "#3366cc"
[palette.dusk]
coat = "#112244"
"##;

/// A view: a body, and a head with another drawing, each a block.
const VIEW: &str = r#"[part.body]
art = "a.svg#body"
pivot = [200, 300]
limits = [-30, 30]
[part.head]
art = "a.svg#head"
parent = "body"
pivot = [200, 200]
limits = [-20, 20]
replacements = { hat = "a.svg#hat" }
[crop.head]
part = "head"
[chart.heads]
parts = ["head"]
"#;

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 400">
<g id="body"><path d="M150 200H250V390H150Z" fill="#3366cc"/></g>
<g id="head"><path d="M160 100H240V200H160Z" fill="#cc9966"/></g>
<g id="hat"><path d="M160 80H240V200H160Z" fill="#663300"/></g>
</svg>"##;

const POSES: &str = r#"[pose.rest]
[pose.left]
turn = { body = -20 }
[pose.right]
turn = { body = 20 }
[pose.nod]
turn = { head = 10 }
[pose.shake]
turn = { head = -10 }
[stress.bends]
count = 3
turn = "body"
[sweep.body]
turn = "body"
step = 30
[sweep.head]
turn = "head"
step = 20
"#;

struct Show {
    folder: TempDir,
}

impl Show {
    /// A member whose list asks for these sheets.
    fn new(sheets: &str) -> Self {
        let folder = TempDir::new().expect("a folder");
        let mate = folder.path().join("mate");
        fs::create_dir(&mate).expect("a folder");
        let write = |name: &str, text: &str| fs::write(mate.join(name), text).expect("a file");
        write("rig.toml", RIG);
        write("front.toml", VIEW);
        write("side.toml", VIEW);
        write("a.svg", ART);
        fs::write(folder.path().join("acts.toml"), format!("{POSES}{sheets}")).expect("a file");
        Self { folder }
    }

    fn subject(&self) -> Subject {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let mut library = Library::new();
        let rig = self.folder.path().join("mate");
        let member = load_member(&rig, &mut sources, &mut problems, &mut library);
        let member = Arc::new(member.expect("the rig is read"));
        let list: PoseList = load_poses(
            &self.folder.path().join("acts.toml"),
            &member,
            &mut sources,
            &mut problems,
        )
        .expect("the list is read");
        assert!(problems.is_ok(), "{:?}", problems.list());
        Subject {
            member,
            library: Arc::new(library),
            lists: vec![Arc::new(list)],
        }
    }

    /// The sheets, and for each job which pose it is.
    fn laid(&self, names: &[&str], choice: &Choice, setup: PageSetup) -> (Laid, Vec<String>) {
        let subjects = [self.subject()];
        let mut plan = Plan::default();
        let filters: Vec<Filter> = names.iter().map(|name| Filter::new(*name)).collect();
        let unmatched = plan.add_declared(&subjects, &filters, choice);
        assert_eq!(unmatched, []);
        let puppets = build::puppets(&plan);
        let jobs = plan.jobs();
        let rehearsal = build::rehearse(&puppets, &jobs, 1, true);
        let pages = Pages {
            setup,
            usual: Stock::Pixels(1600, 1200),
            dpi: 100.0,
            window: None,
        };
        let (groups, out) = (plan.sheets(&[], false), Path::new("out"));
        let sheets = (&plan, &groups[..]);
        let laid = build::lay_out_sheets(sheets, &puppets, &rehearsal, "cast", out, &pages);
        let laid = laid.expect("only sheets that the list asks for are refused");
        (laid, jobs.iter().map(|job| job.pose.name.clone()).collect())
    }

    fn run(&self, args: &[&str]) -> (i32, String, String) {
        let run = Command::new(env!("CARGO_BIN_EXE_layfig"))
            .current_dir(self.folder.path())
            .args(["sheet", "mate", "acts.toml"])
            .args(args)
            .args(["--messages", "short", "--progress", "none"])
            .output()
            .expect("the program runs");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).replace('\\', "/");
        let code = run.status.code().expect("it ends");
        (code, text(&run.stdout), text(&run.stderr))
    }
}

const ALL: Choice = Choice {
    views: Views::First,
    only: Only::All,
    poses: Vec::new(),
};

/// The poses on the pages of a sheet, in order.
fn shown(laid: &Laid, sheet: usize, jobs: &[String]) -> Vec<String> {
    let pages = laid.sheets[sheet].document.pages.iter();
    let figures = pages.flat_map(Page::figures);
    figures.map(|f| jobs[f.figure].clone()).collect()
}

fn written(page: &Page) -> Vec<&str> {
    page.words().map(|words| words.text.as_str()).collect()
}

#[test]
fn poses_come_in_the_order_of_the_sheet() {
    let show = Show::new(
        "[sheet.a]\nposes = [\"shake\", \"bends\", \"l*\", \"rest\"]\n[sheet.b]\n[sheet.c]\nsweeps = [\"head\", \"body\"]\n",
    );
    let (laid, jobs) = show.laid(&[], &ALL, PageSetup::default());
    assert_eq!(
        shown(&laid, 0, &jobs),
        ["shake", "bends@1", "bends@2", "bends@3", "left", "rest"]
    );
    let all = [
        "rest", "left", "right", "nod", "shake", "bends@1", "bends@2", "bends@3",
    ];
    assert_eq!(shown(&laid, 1, &jobs), all, "all poses of the list");
    assert_eq!(
        shown(&laid, 2, &jobs),
        [
            "head@-20", "head@0", "head@20", "body@-30", "body@0", "body@30"
        ]
    );
    let names: Vec<&str> = laid.sheets.iter().map(|s| s.name.as_str()).collect();
    let want = [
        "mate/front/acts/a",
        "mate/front/acts/b",
        "mate/front/acts/c",
    ];
    assert_eq!(names, want);
    let files: Vec<&[PathBuf]> = laid.sheets.iter().map(|s| s.files.as_slice()).collect();
    assert_eq!(
        files[0],
        [Path::new("out/mate/front/acts.a.sheet.png")],
        "one page holds six cells"
    );
}

#[test]
fn a_sheet_says_how_its_pages_are_and_arguments_say_it_louder() {
    let show = Show::new(
        "[sheet.a]\ntitle = \"First acts\"\nnote = \"for the mate\"\npage = \"a4\"\norient = \"portrait\"\n\
         paper = \"dark\"\ncolumns = 2\nrevision = \"C\"\ndate = 2031-05-02\npalette = \"dusk\"\n",
    );
    let (laid, _) = show.laid(&[], &ALL, PageSetup::default());
    let page = &laid.sheets[0].document.pages[0];
    // A4 at 100 px to the inch.
    assert_eq!([page.width, page.height], [827, 1169]);
    assert_eq!(page.colour, Paper::Dark.colours().paper);
    let words = written(page);
    for text in [
        "First acts · front view",
        "for the mate",
        "C",
        "palette dusk",
    ] {
        assert!(words.contains(&text), "{text}: {words:?}");
    }
    assert!(words.iter().any(|w| w.starts_with("2031-05")), "{words:?}");
    let lefts: std::collections::BTreeSet<i32> = page.figures().map(|f| f.area.x).collect();
    assert_eq!(lefts.len(), 2, "two columns");
    let louder = PageSetup {
        stock: Some(Stock::Pixels(900, 1500)),
        paper: Some(Paper::Light),
        columns: Some(3),
        revision: Some("D".into()),
        ..PageSetup::default()
    };
    let (laid, _) = show.laid(&[], &ALL, louder);
    let page = &laid.sheets[0].document.pages[0];
    assert_eq!([page.width, page.height], [900, 1500]);
    assert_eq!(page.colour, Paper::Light.colours().paper);
    let words = written(page);
    assert!(words.contains(&"D") && !words.contains(&"C"), "{words:?}");
    let lefts: std::collections::BTreeSet<i32> = page.figures().map(|f| f.area.x).collect();
    assert_eq!(lefts.len(), 3, "three columns");
}

#[test]
fn every_kind_shows_what_it_is_for() {
    let show = Show::new(
        "[sheet.faces]\nkind = \"expressions\"\n[sheet.some]\nkind = \"expressions\"\nposes = [\"left\"]\n\
         [sheet.heads]\nkind = \"charts\"\ncharts = [\"heads\"]\n[sheet.round]\nkind = \"turnaround\"\n\
         [sheet.over]\nkind = \"onion\"\nposes = [\"left\", \"right\"]\n\
         [sheet.tones]\nkind = \"colours\"\nposes = [\"left\"]\n\
         [sheet.all]\nkind = \"model\"\nviews = \"all\"\n[sheet.near]\ncrop = \"head\"\nposes = [\"nod\"]\n",
    );
    let (laid, jobs) = show.laid(&[], &ALL, PageSetup::default());
    let names: Vec<&str> = laid.sheets.iter().map(|s| s.name.as_str()).collect();
    let want = [
        "mate/front/acts/faces",
        "mate/front/acts/some",
        "mate/front/acts/heads",
        "mate/acts/round",
        "mate/front/acts/over",
        "mate/front/acts/tones",
        "mate/front/acts/all",
        "mate/side/acts/all",
        "mate/front/acts/near",
    ];
    assert_eq!(names, want);
    assert_eq!(
        shown(&laid, 0, &jobs),
        ["rest", "nod", "shake"],
        "what changes no more than the head carries"
    );
    assert_eq!(shown(&laid, 1, &jobs), ["left"], "or what is named");
    assert_eq!(shown(&laid, 2, &jobs), ["head.art", "head.hat"]);
    assert_eq!(shown(&laid, 3, &jobs), ["rest", "rest"], "both views");
    assert_eq!(shown(&laid, 4, &jobs), ["left", "right"]);
    assert_eq!(shown(&laid, 5, &jobs), ["day", "dusk"]);
    assert_eq!(shown(&laid, 6, &jobs), ["rest"]);
    let near = laid.sheets[8].document.pages[0]
        .figures()
        .next()
        .expect("it");
    let far = laid.sheets[4].document.pages[0]
        .figures()
        .next()
        .expect("it");
    assert!(near.to_page.a > 2.0 * far.to_page.a, "cropped to the head");
}

#[test]
fn views_poses_and_names_choose() {
    let show = Show::new("[sheet.a]\nviews = [\"side\"]\n[sheet.b]\n[sheet.c]\nkind = \"range\"\n");
    let count = |names: &[&str], choice: &Choice| {
        let (laid, jobs) = show.laid(names, choice, PageSetup::default());
        let names: Vec<String> = laid.sheets.iter().map(|s| s.name.clone()).collect();
        (names, jobs.len())
    };
    let (names, _) = count(&[], &ALL);
    assert_eq!(
        names,
        ["mate/side/acts/a", "mate/front/acts/b", "mate/front/acts/c"],
        "a sheet's own views where none are chosen"
    );
    let front = Choice {
        views: Views::Named(vec![Filter::new("front")]),
        ..ALL
    };
    assert_eq!(
        count(&[], &front).0,
        ["mate/front/acts/b", "mate/front/acts/c"]
    );
    assert_eq!(
        count(&["acts/a", "c"], &ALL).0,
        ["mate/side/acts/a", "mate/front/acts/c"]
    );
    let some = Choice {
        poses: vec![Filter::new("left"), Filter::new("head@0")],
        ..ALL
    };
    assert_eq!(
        count(&[], &some).1,
        3,
        "a and b with one pose, c with one step"
    );
}

#[test]
fn the_command_makes_them_beside_the_usual_ones() {
    let show = Show::new("[sheet.a]\nposes = [\"left\"]\n[sheet.b]\nkind = \"range\"\n");
    let (code, out, told) = show.run(&[]);
    assert_eq!(code, 0, "{told}");
    assert_eq!(
        out,
        "out/mate/front/acts.sheet.png\nout/mate/front/acts.a.sheet.png\nout/mate/front/acts.b.sheet.png\nmade 3 pages in out\n",
        "b, of all sweeps, stands for the usual sheet of sweeps"
    );
    let (code, out, told) = show.run(&["--sheet", "a"]);
    assert_eq!(
        (code, out.as_str()),
        (0, "out/mate/front/acts.a.sheet.png\nmade 1 page in out\n"),
        "{told}"
    );
    let (code, out, _) = show.run(&["--kind", "range"]);
    assert_eq!(
        (code, out.as_str()),
        (0, "out/mate/front/acts.sweeps.png\nmade 1 page in out\n")
    );
    let (code, _, told) = show.run(&["--sheet", "faces"]);
    assert_eq!(code, 3);
    assert!(
        told.contains(
            "no sheet is called \"faces\" (hint: there are mate/front/acts/a, mate/front/acts/b)"
        ),
        "{told}"
    );
}

#[test]
fn a_sheet_with_a_mistake_stops_no_other() {
    let show = Show::new(
        "[sheet.a]\nposes = [\"lefd\"]\n[sheet.b]\nposes = [\"left\"]\n[sheet.c]\npage = \"400x400\"\nmargin = 60\n",
    );
    let (code, out, told) = show.run(&["--sheet", "*"]);
    assert_eq!(code, 2, "{told}");
    assert_eq!(
        out, "out/mate/front/acts.b.sheet.png\nmade 1 page in out\n",
        "{told}"
    );
    for line in [
        "acts.toml:20:10: error: unknown pose \"lefd\" (hint: did you mean \"left\"?)",
        "acts.toml:23:8: error: the page is too small",
        "  mate/acts/a: it has errors",
        "  mate/front/acts/c: ",
    ] {
        assert!(told.contains(line), "{line}\n{told}");
    }
}

#[test]
fn the_demo_cast_asks_for_sheets_of_every_member() {
    let out = TempDir::new().expect("a folder");
    let run = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args([
            "sheet",
            "rigs/cast.toml",
            "--sheet",
            "*",
            "--dpi",
            "72",
            "--cell",
            "200",
            "--quiet",
            "--out",
        ])
        .arg(out.path())
        .output()
        .expect("the program runs");
    let told = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{told}");
    for file in [
        "deckhand/three_quarter/deckhand.faces.sheet.png",
        "deckhand/side/deckhand.faces.sheet.png",
        "deckhand/back/deckhand.hands.sheet.png",
        "deckhand/three_quarter/deckhand.watch_colours.sheet.png",
        "ship_dog/ship_dog.gaits.sheet.png",
        "ship_dog/ship_dog.tail.sheet.png",
        "mooring_bot/mooring_bot.sides.sheet.png",
    ] {
        assert!(out.path().join(file).exists(), "{file}");
    }
}
