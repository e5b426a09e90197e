//! The whole job: 96 poses as PNG files, a sheet of them, and the comparison of the files with
//! approved ones. Layfig does it from the files a person writes. The other way is what a script
//! would do with general libraries: read the exported SVG of each pose, draw it with resvg, write it
//! with the png crate as it comes, and put small pictures of the same trees on pages of the same
//! size. Both decode and compare with the same code.
//!
//! Where ImageMagick is installed, a script's job is timed too: a process of a small program around
//! resvg for each picture, then `montage` for the sheet, then `compare` for each picture.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use layfig::build::{
    Framing, Pages, PictureStyle, PlannedSheet, Window, draw_pictures, draw_sheets, lay_out_sheets,
    rehearse,
};
use layfig::cast::{PageSetup, SheetKind};
use rayon::prelude::*;
use tiny_skia::{Pixmap, Transform};
use usvg::Tree;

use crate::clock::{middle, timed};
use crate::rivals::{parsed, svg, to_square};
use crate::show::{Show, folder};
use crate::table::{Table, short};

const POSES: usize = 96;
const SIDE: u32 = 1024;
const CELL: u32 = 256;

/// Steps of the job, in order.
const STEPS: [&str; 4] = [
    "read and prepare",
    "draw, encode, write",
    "sheet",
    "compare",
];
type Times = [f64; 4];

/// Prints the table.
pub fn run(rounds: usize) {
    let work = folder();
    let show = Show::deckhand(POSES);
    let texts: Vec<(PathBuf, String)> = show
        .jobs()
        .iter()
        .map(|job| {
            let figure = show.puppets[job.model]
                .figure(job.pose)
                .expect("the pose solves");
            let name = job.file(&show.plan, Path::new(""), ".png");
            (name, svg(&figure, SIDE))
        })
        .collect();
    let pages = sheets(&show, work.path(), 1);
    let at = |name: &str| work.path().join(name);

    // What was approved: made by each in its own way.
    ours(&at("approved"), None, 1);
    theirs(&texts, &pages, &at("their approved"), None, 1);
    check(&texts, &at("approved"), &at("their approved"));

    let mut times: [Vec<Times>; 4] = Default::default();
    for _ in 0..rounds {
        for (t, threads) in [1, 2].into_iter().enumerate() {
            times[t * 2].push(ours(&at("out"), Some(&at("approved")), threads));
            let approved = at("their approved");
            times[t * 2 + 1].push(theirs(&texts, &pages, &at("out"), Some(&approved), threads));
        }
    }
    let script = scripted(&texts, work.path());
    let mut table = Table::new(&[
        "step",
        "layfig, 1 thread",
        "resvg + png, 1 thread",
        "times",
        "layfig, 2 threads",
        "resvg + png, 2 threads",
        "times",
    ]);
    let middles = |of: &dyn Fn(&Times) -> f64| -> Vec<f64> {
        times
            .iter()
            .map(|runs| middle(runs.iter().map(of).collect()))
            .collect()
    };
    let mut row = |name: &str, t: &[f64]| {
        table.row([
            name.to_owned(),
            short(t[0]),
            short(t[1]),
            short(t[1] / t[0]),
            short(t[2]),
            short(t[3]),
            short(t[3] / t[2]),
        ]);
    };
    for (s, step) in STEPS.iter().enumerate() {
        row(step, &middles(&|t: &Times| t[s]));
    }
    row("**whole job**", &middles(&|t: &Times| t.iter().sum()));
    if let Some(script) = script {
        let whole = middles(&|t: &Times| t.iter().sum());
        table.row([
            "whole job, as a script".to_owned(),
            String::new(),
            short(script),
            short(script / whole[0]),
            String::new(),
            String::new(),
            short(script / whole[2]),
        ]);
    }
    table.print(&format!(
        "The whole job, {POSES} poses of {SIDE} px and a sheet of {CELL} px cells: milliseconds, median of {rounds}"
    ));
}

/// One picture as a program of its own: reads an SVG, writes a PNG.
pub fn draw_one(args: &[String]) {
    let [from, to] = args else {
        panic!("picture SVG PNG");
    };
    let tree = parsed(&std::fs::read_to_string(from).expect("an SVG"));
    let mut picture = Pixmap::new(SIDE, SIDE).expect("a picture");
    resvg::render(&tree, centred(&tree), &mut picture.as_mut());
    write(Path::new(to), &picture);
}

/// The job as a script does it, in milliseconds; `None` where its tools are missing.
fn scripted(texts: &[(PathBuf, String)], work: &Path) -> Option<f64> {
    let there = |tool: &str| {
        let mut command = Command::new(tool);
        let command = command
            .arg("-version")
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command.status().is_ok_and(|s| s.success())
    };
    if !there("montage") || !there("compare") {
        return None;
    }
    let folder = work.join("script");
    std::fs::create_dir_all(&folder).expect("a folder is made");
    let named = |i: usize, ending: &str| folder.join(format!("{i}.{ending}"));
    for (i, (_, text)) in texts.iter().enumerate() {
        std::fs::write(named(i, "svg"), text).expect("an SVG is written");
    }
    let approved = work.join("their approved");
    let program = std::env::current_exe().expect("this program");
    let done = |command: &mut Command| {
        let command = command.stdout(Stdio::null()).stderr(Stdio::null());
        assert!(command.status().is_ok_and(|s| s.success()), "{command:?}");
    };
    let (time, ()) = timed(|| {
        for i in 0..texts.len() {
            let mut command = Command::new(&program);
            command.args(["--bench", "picture"]);
            done(command.arg(named(i, "svg")).arg(named(i, "png")));
        }
        let mut command = Command::new("montage");
        command.args((0..texts.len()).map(|i| named(i, "png")));
        command.args(["-geometry", &format!("{CELL}x{CELL}+8+8"), "-tile", "8x"]);
        done(command.arg(folder.join("sheet.png")));
        for (i, (name, _)) in texts.iter().enumerate() {
            let mut command = Command::new("compare");
            command.args(["-metric", "AE"]).arg(named(i, "png"));
            done(command.arg(approved.join(name)).arg("null:"));
        }
    });
    Some(time)
}

/// Both drew the same: pictures that differ would not be the same job.
fn check(texts: &[(PathBuf, String)], ours: &Path, theirs: &Path) {
    for (name, _) in texts {
        let (a, b) = (decoded(&ours.join(name)), decoded(&theirs.join(name)));
        let apart = crate::support::difference_over(&a, &b, SIDE, SIDE, 96);
        assert!(
            apart.mean < 1.0 && apart.blob < 100,
            "{}: {apart:?}",
            name.display()
        );
    }
}

fn sheets(show: &Show, out: &Path, threads: usize) -> Vec<PlannedSheet> {
    let rehearsal = rehearse(&show.puppets, &show.jobs(), threads, false);
    let setup = PageSetup {
        cell: Some(CELL as u16),
        ..PageSetup::default()
    };
    let pages = Pages {
        setup,
        window: Some(Window::Canvas),
        ..Pages::default()
    };
    let groups = show
        .plan
        .sheets(&[SheetKind::Pose, SheetKind::Range], false);
    let plan = (&show.plan, &groups[..]);
    let laid = lay_out_sheets(plan, &show.puppets, &rehearsal, "", out, &pages);
    laid.expect("cells fit").sheets
}

/// Layfig, from its files to the comparison.
fn ours(out: &Path, approved: Option<&Path>, threads: usize) -> Times {
    let (read, show) = timed(|| Show::deckhand(POSES));
    let jobs = show.jobs();
    let style = PictureStyle {
        framing: Framing::Size(SIDE, SIDE),
        background: None,
        owners: false,
        grow: false,
    };
    let (draw, drawn) = timed(|| {
        draw_pictures(
            &show.plan,
            &show.puppets,
            &jobs,
            out,
            &style,
            threads,
            |_| (),
        )
    });
    let (sheet, paged) = timed(|| {
        let sheets = sheets(&show, out, threads);
        draw_sheets(&show.puppets, &sheets, &jobs, threads, |_| ())
    });
    assert!(drawn.iter().all(Result::is_ok) && paged.iter().all(Result::is_ok));
    let files: Vec<PathBuf> = jobs
        .iter()
        .map(|job| job.file(&show.plan, Path::new(""), ".png"))
        .collect();
    let (compare, ()) = timed(|| compare(&files, out, approved, threads));
    [read, draw, sheet, compare]
}

/// General libraries, from the exported SVGs to the comparison.
fn theirs(
    texts: &[(PathBuf, String)],
    sheets: &[PlannedSheet],
    out: &Path,
    approved: Option<&Path>,
    threads: usize,
) -> Times {
    let pool = pool(threads);
    let (read, trees) = timed(|| -> Vec<Tree> {
        pool.install(|| texts.par_iter().map(|(_, text)| parsed(text)).collect())
    });
    let (draw, ()) = timed(|| {
        pool.install(|| {
            texts
                .par_iter()
                .zip(&trees)
                .with_max_len(1)
                .for_each(|((name, _), tree)| {
                    let mut picture = Pixmap::new(SIDE, SIDE).expect("a picture");
                    resvg::render(tree, centred(tree), &mut picture.as_mut());
                    write(&out.join(name), &picture);
                });
        });
    });
    let (sheet, ()) = timed(|| {
        pool.install(|| {
            sheets
                .par_iter()
                .flat_map(|s| {
                    (0..s.document.pages.len())
                        .into_par_iter()
                        .map(move |p| (s, p))
                })
                .for_each(|(sheet, page)| {
                    let name = format!("page {page}.png");
                    write(&out.join(name), &their_page(sheet, page, &trees));
                });
        });
    });
    let files: Vec<PathBuf> = texts.iter().map(|(name, _)| name.clone()).collect();
    let (compare, ()) = timed(|| compare(&files, out, approved, threads));
    [read, draw, sheet, compare]
}

/// From the document to the middle of a picture.
fn centred(tree: &Tree) -> Transform {
    let fit = to_square(tree, SIDE);
    let middle = |length: f32| ((SIDE as f32 - length * fit.sx) / 2.0).floor();
    fit.post_translate(middle(tree.size().width()), middle(tree.size().height()))
}

/// A page of the same size with the same cells, without a word on it.
fn their_page(sheet: &PlannedSheet, page: usize, trees: &[Tree]) -> Pixmap {
    let page = &sheet.document.pages[page];
    let side = |v: i32| u32::try_from(v).expect("a size");
    let mut pixels = Pixmap::new(side(page.width), side(page.height)).expect("a page");
    pixels.fill(tiny_skia::Color::WHITE);
    let figures: Vec<_> = page.figures().collect();
    let cells: Vec<_> = figures
        .par_iter()
        .map(|placement| {
            let tree = &trees[placement.figure];
            let (w, h) = (side(placement.area.w), side(placement.area.h));
            let mut picture = Pixmap::new(w, h).expect("a cell");
            let size = tree.size();
            let fit = (w as f32 / size.width()).min(h as f32 / size.height());
            resvg::render(tree, Transform::from_scale(fit, fit), &mut picture.as_mut());
            (placement.area, picture)
        })
        .collect();
    for (area, picture) in cells {
        pixels.draw_pixmap(
            area.x,
            area.y,
            picture.as_ref(),
            &tiny_skia::PixmapPaint::default(),
            Transform::identity(),
            None,
        );
    }
    pixels
}

/// As it comes: the png crate's own settings.
fn write(path: &Path, picture: &Pixmap) {
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder is made");
    let bytes = picture.encode_png().expect("a picture is encoded");
    std::fs::write(path, bytes).expect("a picture is written");
}

/// Decodes each file and its approved one, and looks at every pixel of both.
fn compare(files: &[PathBuf], out: &Path, approved: Option<&Path>, threads: usize) {
    let Some(approved) = approved else { return };
    let changed: usize = pool(threads).install(|| {
        files
            .par_iter()
            .with_max_len(1)
            .map(|name| {
                let (a, b) = (decoded(&out.join(name)), decoded(&approved.join(name)));
                assert_eq!(a.len(), b.len());
                a.chunks_exact(4)
                    .zip(b.chunks_exact(4))
                    .filter(|(x, y)| x != y)
                    .count()
            })
            .sum()
    });
    assert_eq!(changed, 0, "the same input gives the same pixels");
}

fn decoded(path: &Path) -> Vec<u8> {
    let bytes = std::fs::read(path).expect("a picture is there");
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .expect("a picture");
    let mut out = vec![0; reader.output_buffer_size().expect("a size")];
    reader.next_frame(&mut out).expect("pixels");
    out
}

fn pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads")
}
