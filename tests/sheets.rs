//! Sheets as files: what independent tools say of the PDF (qpdf; poppler's pdfinfo, pdffonts,
//! pdftotext and pdftoppm), and that its pages and the PNG pages show the same.

use crate::support;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

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
            "pose,range,onion",
            "--production",
            "The Wenderquay Crossing",
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
        "The Wenderquay Crossing",
        "2031-05-02",
        "palette dusk",
        "over its limit",
        "elbow",
        "approved",
    ] {
        assert!(words.contains(said), "{said:?} in {words}");
    }
    for letters in ["綱", "渡し船"] {
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

/// What qpdf says of the outline: depth, title, page from 1.
fn outline(pdf: &str) -> Vec<(usize, String, usize)> {
    fn walk(items: &serde_json::Value, depth: usize, all: &mut Vec<(usize, String, usize)>) {
        for item in items.as_array().expect("a list") {
            let title = item["title"].as_str().expect("a title").to_owned();
            let page = item["destpageposfrom1"].as_u64().expect("a page");
            all.push((depth, title, usize::try_from(page).expect("a page")));
            walk(&item["kids"], depth + 1, all);
        }
    }
    let json = tool("qpdf", &["--json", "--json-key=outlines", pdf]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let mut all = Vec::new();
    walk(&json["outlines"], 0, &mut all);
    all
}

#[test]
fn each_sheet_has_its_bookmark_on_the_page_that_it_begins_on() {
    let asked = "[sheet.hauling]\ntitle = \"Hauling\"\nposes = [\"haul\", \"greet\"]\n\
                 [sheet.stand]\nkind = \"model\"\n";
    let kinds = ["--format", "pdf", "--page", "700x600", "--kind", "all"];
    let folder = sheets(&format!("{POSES}{asked}"), &kinds);
    let pdf = folder.path().join("out/deckhand/three_quarter/sheets.pdf");
    let pdf = text(&pdf);
    let marks = outline(pdf);
    let on_page = |page: usize| {
        let page = page.to_string();
        tool(
            "pdftotext",
            &["-f", &page, "-l", &page, "-layout", pdf, "-"],
        )
    };
    let together = |text: &str| text.split_whitespace().collect::<String>();
    // The title block's neighbours may stand between the lines of a name.
    let names_sheet = |said: &str, title: &str| {
        let words = title.split_inclusive('/').flat_map(str::split_whitespace);
        words.into_iter().all(|word| said.contains(word))
    };
    let sheets: Vec<&(usize, String, usize)> = marks.iter().filter(|m| m.0 == 0).collect();
    let names: Vec<&str> = sheets.iter().map(|m| m.1.as_str()).collect();
    for name in [
        "signs poses",
        "signs sweeps",
        "signs overlays",
        "model",
        "signs/hauling",
        "signs/stand",
    ] {
        let name = format!("deckhand/three_quarter/{name}");
        assert!(names.contains(&name.as_str()), "{name} in {names:?}");
    }
    let mut last = 0;
    for (_, title, page) in &sheets {
        assert!(*page > last, "{marks:?}");
        last = *page;
        let said = on_page(*page);
        assert!(
            names_sheet(&said, title),
            "{title:?} on page {page}: {said}"
        );
        assert!(
            said.contains("1 of "),
            "{title:?} begins on page {page}: {said}"
        );
    }
    // Sweeps and parts have theirs below.
    let inner: Vec<&(usize, String, usize)> = marks.iter().filter(|m| m.0 == 1).collect();
    assert!(inner.len() > 3, "{marks:?}");
    assert!(inner.iter().any(|m| m.1 == "elbow"));
    for (_, title, page) in inner {
        let said = on_page(*page);
        assert!(
            together(&said).contains(&together(title)),
            "{title:?} on page {page}: {said}"
        );
    }
}

/// Gradients that turn back and that repeat, about points off their middles. Edges are covered, since
/// poppler cuts gradients off without smoothing.
const RINGS: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 200">
<defs>
<radialGradient id="r" gradientUnits="userSpaceOnUse" cx="100" cy="100" r="30" fx="90" fy="95" fr="4" spreadMethod="reflect">
<stop offset="0.1" stop-color="#d02020"/><stop offset="0.7" stop-color="#f0e020"/><stop offset="1" stop-color="#2040c0"/></radialGradient>
<radialGradient id="p" gradientUnits="userSpaceOnUse" cx="300" cy="110" r="36" fx="310" fy="100" spreadMethod="repeat"
 gradientTransform="rotate(20 300 100) translate(0 -10)">
<stop offset="0" stop-color="#20a040"/><stop offset="0.5" stop-color="#fff" stop-opacity="0.5"/><stop offset="1" stop-color="#24a040"/></radialGradient>
</defs>
<g id="rings"><path d="M10 10H190V190H10Z" fill="url(#r)"/><path d="M210 10H390V190H210Z" fill="url(#p)"/>
<path d="M10 10H190V190H10ZM210 10H390V190H210Z" stroke="#203040" stroke-width="6" fill="none"/></g>
</svg>"##;

#[test]
fn gradients_that_repeat_look_alike_in_both_forms() {
    let folder = TempDir::new().expect("a folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("a file");
    };
    write("rings.svg", RINGS);
    write(
        "rig.toml",
        "[character]\nname = \"Rings\"\ncanvas = [400, 200]\n[part.rings]\nart = \"rings.svg#rings\"\n",
    );
    write("list.toml", "[pose.rest]\n");
    let output = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(folder.path())
        .args([
            "sheet",
            "rig.toml",
            "list.toml",
            "--format",
            "both",
            "--page",
            "1000x800",
        ])
        .args(["--dpi", "144", "--canvas", "--quiet"])
        .output()
        .expect("layfig runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let made = std::fs::read_dir(folder.path().join("out")).expect("a folder");
    let made = made
        .map(|f| f.expect("a file").path())
        .next()
        .expect("a member");
    let pdf = made.join("sheets.pdf");
    let checked = tool("qpdf", &["--check", text(&pdf)]);
    assert!(
        checked.contains("No syntax or stream encoding errors found"),
        "{checked}"
    );
    let stem = folder.path().join("page");
    tool(
        "pdftoppm",
        &["-r", "144", "-singlefile", "-png", text(&pdf), text(&stem)],
    );
    let read = |path: &Path| support::averaged(&Pixmap::load_png(path).expect("a PNG"), 2);
    let (ours, theirs) = (
        read(&made.join("list.sheet.png")),
        read(&stem.with_extension("png")),
    );
    let apart = support::difference(&ours, &theirs);
    if apart.mean > 0.8 || apart.blob > 60 {
        let shown = support::evidence("rings", &ours, &theirs);
        panic!("{apart:?}, see {}", shown.display());
    }
}

#[test]
fn a_long_run_tells_how_far_it_is_where_nobody_watches() {
    const POSES: i32 = 400;
    let mut poses = String::new();
    for at in 0..POSES {
        use std::fmt::Write as _;
        let _ = writeln!(poses, "[pose.p{at}]\nturn = {{ torso = {} }}", at % 21 - 10);
    }
    let folder = TempDir::new().expect("a folder");
    let list = folder.path().join("many.toml");
    std::fs::write(&list, poses).expect("a file");
    // Standard error is no terminal here, which is what `auto` looks at.
    let begun = Instant::now();
    let output = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args([
            "sheet",
            "rigs/deckhand",
            text(&list),
            "--page",
            "a3",
            "--threads",
            "1",
            "--out",
        ])
        .arg(folder.path().join("out"))
        .env("CI", "true")
        .output()
        .expect("layfig runs");
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{told}");
    let lines: Vec<&str> = told.lines().collect();
    // At most every tenth, and never two within two seconds; on a slow machine every minute too.
    let minutes = begun.elapsed().as_secs() / 60;
    let most = 9 + usize::try_from(minutes).expect("a number");
    assert!((1..=most).contains(&lines.len()), "{told}");
    let mut last = 0;
    for line in lines {
        let (count, pace) = line.split_once("  ").expect("count and pace");
        let (done, all) = count.split_once('/').expect("a count");
        let done: usize = done.parse().expect("a number");
        assert_eq!(all, POSES.to_string(), "{line}");
        assert!(done > last && done < 1500, "{line}");
        last = done;
        let (rate, left) = pace.split_once(" a second, ").expect("a rate");
        assert!(rate.parse::<f64>().expect("a number") > 0.0, "{line}");
        assert!(left.ends_with(" left"), "{line}");
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
