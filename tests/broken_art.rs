//! Broken and hostile SVG: each with the exact message, never a panic or a hang.

use std::fs;

use layfig::art::Library;
use layfig::cast::load_member;
use layfig::diag::{Problems, Sources, short};

const SVG: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 10 10">"#;

/// Reads a member with one part whose art is `a.svg#part`, and tells the problems.
fn told(files: &[(&str, &[u8])]) -> Vec<String> {
    told_with("art = \"a.svg#part\"", files)
}

fn told_with(part: &str, files: &[(&str, &[u8])]) -> Vec<String> {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("m");
    fs::create_dir_all(&folder).unwrap();
    let rig = format!("[character]\nname = \"M\"\ncanvas = [10, 10]\n[part.one]\n{part}\n");
    fs::write(folder.join("rig.toml"), rig).unwrap();
    for (name, bytes) in files {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let (mut sources, mut problems, mut library) =
        (Sources::default(), Problems::default(), Library::new());
    let member = load_member(&folder, &mut sources, &mut problems, &mut library);
    assert_eq!(
        member.is_some(),
        problems.is_ok(),
        "errors and no member go together"
    );
    let shown = dir.path().display().to_string();
    let lines = problems.list().iter().map(|p| short(p, &sources));
    lines
        .map(|line| line.replace(&format!("{shown}/"), ""))
        .collect()
}

/// One drawing and what is said of it.
fn row(name: &str, svg: &str, expect: &[&str]) {
    assert_eq!(told(&[("a.svg", svg.as_bytes())]), expect, "{name}");
}

fn rows(table: &[(&str, String, &[&str])]) {
    for (name, svg, expect) in table {
        row(name, svg, expect);
    }
}

#[test]
fn files_that_are_no_drawings() {
    let missing = told(&[]);
    assert_eq!(
        missing,
        [
            "m/rig.toml:5:7: error: cannot read a.svg: no such file (hint: paths are relative to the file that names them)"
        ]
    );
    let folder = told(&[("a.svg/inside.txt", b"")]);
    assert_eq!(folder, ["m/rig.toml:5:7: error: a.svg is not a file"]);
    let gzip = told(&[("a.svg", b"\x1f\x8b\x08\x00")]);
    assert_eq!(
        gzip,
        ["m/rig.toml:5:7: error: a.svg is compressed (hint: save it as plain SVG, not SVGZ)"]
    );
    let latin = told(&[("a.svg", b"<svg>\xe9</svg>")]);
    assert_eq!(
        latin,
        [
            "m/rig.toml:5:7: error: a.svg is not UTF-8 text (byte 5) (hint: save it as plain SVG in UTF-8)"
        ]
    );
    rows(&[
        ("empty", String::new(), &["m/a.svg:1:1: error: not well-formed XML: the document does not have a root node"]),
        ("unclosed", format!("{SVG}\n<g id=\"part\">\n</svg>"), &["m/a.svg:3:1: error: not well-formed XML: expected 'g' tag, not 'svg'"]),
        ("another root", "<html/>".into(), &["m/a.svg:1:1: error: the root element is \"html\", not \"svg\""]),
        ("no namespace", "<svg viewBox=\"0 0 9 9\"><rect id=\"part\" width=\"3\" height=\"3\"/></svg>".into(), &[]),
        ("no size", r#"<svg xmlns="http://www.w3.org/2000/svg" width="0" height="10"><rect id="part" width="3" height="3"/></svg>"#.into(), &["m/a.svg:1:1: error: the drawing has no size (hint: give the root element a viewBox, or a width and a height, above zero)"]),
    ]);
}

#[test]
fn elements_that_are_no_parts() {
    rows(&[
        (
            "a slip in the id",
            format!("{SVG}<rect id=\"prat\" width=\"3\" height=\"3\"/></svg>"),
            &["m/rig.toml:5:7: error: no element \"part\" in a.svg (hint: did you mean \"prat\"?)"],
        ),
        (
            "no such id",
            format!("{SVG}<rect id=\"leg\" width=\"3\" height=\"3\"/></svg>"),
            &[
                "m/rig.toml:5:7: error: no element \"part\" in a.svg (hint: give the group that holds the part's art this id)",
            ],
        ),
        (
            "two of an id",
            format!(
                "{SVG}\n<rect id=\"part\" width=\"3\" height=\"3\"/>\n<rect id=\"part\" width=\"3\" height=\"3\"/></svg>"
            ),
            &[
                "m/a.svg:3:1: error: two elements have the id \"part\" (hint: ids must be unique in a file)",
            ],
        ),
        (
            "two of an id that no part names",
            format!(
                "{SVG}<g id=\"a\"/><g id=\"a\"/><rect id=\"part\" width=\"3\" height=\"3\"/></svg>"
            ),
            &[],
        ),
        (
            "two of a name",
            format!("{SVG}\n<g data-name=\"part\"/>\n<g data-name=\"part\"/></svg>"),
            &[
                "m/a.svg:3:1: error: two elements are called \"part\" (hint: put what is around it before it, as in \"Lines/hand\", or call one of them something else)",
            ],
        ),
        (
            "a name that the drawing program keeps",
            format!("{SVG}<rect data-name=\"part\" width=\"3\" height=\"3\"/></svg>"),
            &[],
        ),
        (
            "an empty group",
            format!("{SVG}<g id=\"part\"/></svg>"),
            &[
                "m/rig.toml:5:7: error: element \"part\" of a.svg draws nothing (hint: it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves)",
            ],
        ),
        (
            "only a definition",
            format!("{SVG}<defs><rect id=\"part\" width=\"3\" height=\"3\"/></defs></svg>"),
            &[
                "m/rig.toml:5:7: error: element \"part\" of a.svg draws nothing (hint: it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves)",
            ],
        ),
        (
            "no fill, no stroke",
            format!("{SVG}<rect id=\"part\" width=\"3\" height=\"3\" fill=\"none\"/></svg>"),
            &[
                "m/rig.toml:5:7: error: element \"part\" of a.svg draws nothing (hint: it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves)",
            ],
        ),
        (
            "numbers that are none",
            format!("{SVG}<path id=\"part\" d=\"M NaN 0 L 1e400 2 Z\"/></svg>"),
            &[
                "m/a.svg:1:123: warning: the path data make no sense after 0 pieces, and the rest of the line is not drawn (hint: a command has a number too many or too few; draw the line again)",
                "m/rig.toml:5:7: error: element \"part\" of a.svg draws nothing (hint: it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves)",
            ],
        ),
        (
            "a flat transform",
            format!(
                "{SVG}<g id=\"part\" transform=\"scale(0)\"><rect width=\"3\" height=\"3\"/></g></svg>"
            ),
            &[
                "m/rig.toml:5:7: error: element \"part\" of a.svg draws nothing (hint: it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves)",
            ],
        ),
        (
            "a hidden layer is a part all the same",
            format!(
                "{SVG}<g style=\"display:none\"><rect id=\"part\" display=\"none\" width=\"3\" height=\"3\"/></g></svg>"
            ),
            &[],
        ),
        (
            "huge numbers are far off, not wrong",
            format!("{SVG}<path id=\"part\" d=\"M-1e30 0L1e30 1L0 1e30Z\"/></svg>"),
            &[],
        ),
    ]);
}

#[test]
fn references_that_lead_nowhere_or_outside() {
    rows(&[
        (
            "text",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><text>Ahoy</text></g></svg>"
            ),
            &[
                "m/a.svg:2:42: warning: text is not drawn: its look depends on the fonts of the machine (hint: turn the text into outlines in the drawing program)",
            ],
        ),
        (
            "a curve that lacks a number",
            format!(
                "{SVG}\n<g id=\"part\"><path d=\"M0 0 L5 0 L5 5 C1 2 3 4 5 L0 5 Z\"/></g></svg>"
            ),
            &[
                "m/a.svg:2:23: warning: the path data make no sense after 3 pieces, and the rest of the line is not drawn (hint: a command has a number too many or too few; draw the line again)",
            ],
        ),
        (
            "a missing image",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><image width=\"3\" height=\"3\" href=\"x.png\"/></g></svg>"
            ),
            &[
                "m/a.svg:2:42: error: image \"x.png\" is not there (hint: paths are relative to the SVG file)",
            ],
        ),
        (
            "an image on the network",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><image width=\"3\" height=\"3\" href=\"https://example.invalid/x.png\"/></g></svg>"
            ),
            &[
                "m/a.svg:2:42: error: image \"https://example.invalid/x.png\" lies outside the member's folder (hint: put the picture beside the rig, or embed it)",
            ],
        ),
        (
            "an image by its full path",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><image width=\"3\" height=\"3\" xlink:href=\"/etc/hostname\"/></g></svg>"
            ),
            &[
                "m/a.svg:2:42: error: image \"/etc/hostname\" lies outside the member's folder (hint: put the picture beside the rig, or embed it)",
            ],
        ),
        (
            "use of another file",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><use href=\"b.svg#x\"/></g></svg>"
            ),
            &[
                "m/a.svg:2:42: error: \"use\" of \"b.svg#x\": only elements of the same file can be used (hint: copy the element into this file)",
            ],
        ),
        (
            "use of nothing",
            format!(
                "{SVG}\n<g id=\"part\"><rect width=\"3\" height=\"3\"/><use href=\"#gone\"/></g></svg>"
            ),
            &["m/a.svg:2:42: error: \"use\" of \"#gone\": no such element in this file"],
        ),
    ]);
    let outside = told(&[("a.svg", format!("{SVG}<g id=\"part\"><image width=\"3\" height=\"3\" href=\"../secret.png\"/></g></svg>").as_bytes()), ("../secret.png", b"\x89PNG\r\n\x1a\n")]);
    assert!(
        outside[0].contains("image \"../secret.png\" lies outside the member's folder"),
        "{outside:?}"
    );
}

#[test]
fn bombs_and_mazes_end_in_an_error() {
    let deep = format!(
        "{SVG}{}<rect id=\"part\" width=\"3\" height=\"3\"/>{}</svg>",
        "<g>".repeat(100_000),
        "</g>".repeat(100_000)
    );
    let at = SVG.len() + 1 + 255 * 3;
    row(
        "deep",
        &deep,
        &[&format!(
            "m/a.svg:1:{at}: error: elements are nested over 256 deep (hint: ungroup what needs no group)"
        )],
    );

    let mut entities = String::from("<!DOCTYPE svg [<!ENTITY a0 'x'>");
    for i in 1..12 {
        entities += &format!("<!ENTITY a{i} '{}'>", format!("&a{};", i - 1).repeat(10));
    }
    entities += &format!("]>\n{SVG}<rect id=\"part\" width=\"3\" height=\"3\"/>&a11;</svg>");
    let said = told(&[("a.svg", entities.as_bytes())]);
    assert!(
        said.len() == 1
            && said[0].ends_with("error: entities refer to each other without end, or too often"),
        "{said:?}"
    );

    let mut uses = format!("{SVG}<g id=\"u0\"><rect width=\"1\" height=\"1\"/></g>");
    for i in 1..9 {
        uses += &format!(
            "<g id=\"u{i}\">{}</g>",
            format!("<use href=\"#u{}\"/>", i - 1).repeat(10)
        );
    }
    uses += "<g id=\"part\"><use href=\"#u8\"/></g></svg>";
    row(
        "use of use of use",
        &uses,
        &[
            "m/a.svg:1:1: error: the drawing grows too large or too deep once \"use\" is expanded (hint: draw repeated pieces once, or as fewer copies)",
        ],
    );

    let circle = format!(
        "{SVG}<g id=\"part\"><rect width=\"1\" height=\"1\"/><use href=\"#part\"/></g></svg>"
    );
    row("use of itself", &circle, &[]);

    let mut chain = format!("{SVG}<g id=\"c0\"><rect width=\"1\" height=\"1\"/></g>");
    for i in 1..20_000 {
        chain += &format!("<use id=\"c{i}\" href=\"#c{}\"/>", i - 1);
    }
    chain += "<g id=\"part\"><use href=\"#c19999\"/></g></svg>";
    row(
        "a chain of uses",
        &chain,
        &[
            "m/a.svg:1:1: error: the drawing grows too large or too deep once \"use\" is expanded (hint: draw repeated pieces once, or as fewer copies)",
        ],
    );
}
