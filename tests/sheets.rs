//! Sheets as files: what independent tools say of the PDF (qpdf; poppler's pdfinfo, pdffonts,
//! pdftotext and pdftoppm), and that its pages and the PNG pages show the same.

mod support;

use std::path::Path;
use std::process::Command;

use tempfile::TempDir;
use tiny_skia::Pixmap;

/// Names and notes in three directions and scripts, a long name, a sweep, and one over its limit.
const POSES: &str = r#"
[pose.rest]
note = "יד על ההגה, מבט קדימה"

[pose.haul]
from = "rest"
note = "weight on the back foot"
turn = { upper_arm_near = -70, forearm_near = -35 }

[pose.a_very_long_name_for_a_pose_that_has_to_be_broken_over_several_lines_of_its_label]
from = "haul"
note = "渡し船の甲板で綱を引く"

[pose.greet]
note = "مرحبا بكم على متن العبارة"
turn = { upper_arm_near = -140 }
palette = "dusk"

[sweep.elbow]
turn = "forearm_near"
over = [-20, 20]
step = 20
"#;

fn tool(name: &str, arguments: &[&str]) -> String {
    let output = Command::new(name)
        .args(arguments)
        .output()
        .unwrap_or_else(|why| panic!("{name}: {why}; tests/support/setup.sh installs it"));
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "{name} {arguments:?}: {text}{errors}"
    );
    assert!(errors.is_empty(), "{name} {arguments:?}: {errors}");
    text
}

/// Runs `layfig sheet` on the deckhand in a folder of its own.
fn sheets(poses: &str, arguments: &[&str]) -> TempDir {
    let folder = TempDir::new().expect("a folder");
    let list = folder.path().join("signs.toml");
    std::fs::write(&list, poses).expect("the list is written");
    let output = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["sheet", "rigs/deckhand"])
        .arg(&list)
        .args(["--quiet", "--out"])
        .arg(folder.path().join("out"))
        .args(arguments)
        .output()
        .expect("layfig runs");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{errors}");
    folder
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn independent_tools_find_the_pdf_sound() {
    let folder = sheets(
        POSES,
        &[
            "--format",
            "both",
            "--page",
            "a4",
            "--dpi",
            "150",
            "--kind",
            "pose",
            "range",
            "onion",
            "--production",
            "The Night Ferry",
            "--revision",
            "C",
            "--date",
            "2031-05-02",
        ],
    );
    let out = folder.path().join("out/deckhand/three_quarter");
    let pdf = out.join("sheets.pdf");
    let pdf = text(&pdf);
    let checked = tool("qpdf", &["--check", pdf]);
    assert!(
        checked.contains("No syntax or stream encoding errors found"),
        "{checked}"
    );

    // A4 is 210 x 297 mm (ISO 216).
    let info = tool("pdfinfo", &["-box", pdf]);
    let line = |name: &str| {
        let found = info.lines().find_map(|l| l.strip_prefix(name));
        found
            .unwrap_or_else(|| panic!("{name} in {info}"))
            .trim()
            .to_owned()
    };
    assert!(
        line("Page size:").starts_with("841.89 x 595.276 pts (A4)"),
        "{info}"
    );
    let pages: usize = line("Pages:").parse().expect("a number");
    assert!(pages >= 3, "{info}");
    assert!(
        !info.contains("CreationDate"),
        "nothing comes from the clock: {info}"
    );

    let fonts = tool("pdffonts", &[pdf]);
    let lines: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(lines.len() >= 2, "{fonts}");
    for font in lines {
        // Columns from the right: object, generation, Unicode map, subset, embedded.
        let columns: Vec<&str> = font.split_whitespace().rev().collect();
        assert_eq!(columns[2..5], ["yes"; 3], "{fonts}");
        assert!(font.contains("DejaVuSans"), "{fonts}");
    }

    let words = tool("pdftotext", &["-layout", pdf, "-"]);
    for said in [
        "rest",
        "haul",
        "greet",
        "weight on the back foot",
        "The Night Ferry",
        "2031-05-02",
        "palette dusk",
        "over its limit",
        "elbow",
        "approved",
    ] {
        assert!(words.contains(said), "{said:?} in {words}");
    }
    for letters in ["綱", "甲板"] {
        assert!(words.contains(letters), "{letters} in {words}");
    }
    // Readers differ in the order of right-to-left words on a line; each word must be whole.
    for word in ["ההגה", "קדימה"] {
        assert!(words.contains(word), "{word} in {words}");
    }

    // The same pages: poppler draws the PDF at the resolution of the PNG.
    let stem = folder.path().join("page");
    tool("pdftoppm", &["-r", "150", "-png", pdf, text(&stem)]);
    let mut pngs: Vec<_> = ["sheet", "sweeps", "onion"]
        .iter()
        .flat_map(|kind| {
            let mut files: Vec<_> = std::fs::read_dir(&out)
                .expect("a folder")
                .map(|f| f.expect("a file").path())
                .filter(|f| text(f).contains(&format!("signs.{kind}.")))
                .collect();
            files.sort();
            files
        })
        .collect();
    assert_eq!(pngs.len(), pages);
    for (at, png) in pngs.drain(..).enumerate() {
        let theirs = (1..4)
            .map(|digits| folder.path().join(format!("page-{:0digits$}.png", at + 1)))
            .find(|f| f.exists())
            .expect("a page");
        let theirs = Pixmap::load_png(&theirs).expect("a PNG");
        let ours = Pixmap::load_png(&png).expect("a PNG");
        let size = |p: &Pixmap| (p.width(), p.height());
        let (wide, high) = (
            size(&ours).0.abs_diff(size(&theirs).0),
            size(&ours).1.abs_diff(size(&theirs).1),
        );
        assert!(
            wide <= 1 && high <= 1,
            "{:?} {:?}",
            size(&ours),
            size(&theirs)
        );
        let (ours, theirs) = (
            support::averaged(&trimmed(&ours), 2),
            support::averaged(&trimmed(&theirs), 2),
        );
        let apart = support::difference(&ours, &theirs);
        if apart.mean > 1.5 || apart.blob > 60 {
            let shown = support::evidence("sheet page", &ours, &theirs);
            panic!("{}: {apart:?}, see {}", png.display(), shown.display());
        }
    }
}

/// Without the last odd row and column, which rounding of the page size may add.
fn trimmed(picture: &Pixmap) -> Pixmap {
    let (w, h) = (1754 / 2 * 2, 1240 / 2 * 2);
    let mut out = Pixmap::new(w, h).expect("a size");
    let place = tiny_skia::Transform::identity();
    out.fill(tiny_skia::Color::WHITE);
    out.draw_pixmap(
        0,
        0,
        picture.as_ref(),
        &tiny_skia::PixmapPaint::default(),
        place,
        None,
    );
    out
}

#[test]
fn the_same_sheet_has_the_same_bytes_whatever_the_threads() {
    let read = |threads: &str| {
        let folder = sheets(
            POSES,
            &["--format", "both", "--dpi", "72", "--threads", threads],
        );
        let mut files: Vec<(String, Vec<u8>)> =
            std::fs::read_dir(folder.path().join("out/deckhand/three_quarter"))
                .expect("a folder")
                .map(|f| f.expect("a file").path())
                .map(|f| {
                    (
                        text(&f).rsplit('/').next().unwrap_or("").to_owned(),
                        std::fs::read(&f).expect("a file"),
                    )
                })
                .collect();
        files.sort();
        files
    };
    let one = read("1");
    assert!(one.len() >= 3);
    assert_eq!(one, read("3"));
}
