//! Drawings that no rig can be made of: exact words, and nothing written.

use std::path::PathBuf;
use std::process::Command;

use layfig::Files;
use layfig::diag::short;
use layfig::draft::draft;

const SVG: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60">"#;

fn told(name: &str, bytes: &[u8]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join(name), bytes).unwrap();
    let files = Files::disk(folder.path());
    match draft(&files, std::path::Path::new(""), &[PathBuf::from(name)]) {
        Ok(draft) => draft
            .warnings
            .list()
            .iter()
            .map(|p| short(p, &draft.sources))
            .collect(),
        Err((problems, sources)) => problems.list().iter().map(|p| short(p, &sources)).collect(),
    }
}

const CUT: &str = "(hint: cut the figure into its pieces in the drawing program, each a group or a layer with a name: torso, upper arm left ...)";

#[test]
fn what_is_wrong_is_said_and_what_to_do() {
    let svg = |body: &str| format!("{SVG}{body}</svg>").into_bytes();
    let path = "<path d=\"M1 1h9v9z\"/>";
    let picture = "<image width=\"9\" height=\"9\" href=\"data:image/png;base64,AA==\"/>";
    let rows: Vec<(&str, Vec<u8>, String)> = vec![
        ("nothing in it", Vec::new(), "a.svg: error: the drawing is empty (hint: save it once more from the drawing program)".into()),
        ("no SVG", b"%PDF-1.7".to_vec(), "a.svg: error: this is no SVG (hint: save the drawing as plain SVG, with its layers)".into()),
        ("pixels", vec![0x89, b'P', b'N', b'G', 0xff], "a.svg: error: this is no SVG (hint: save the drawing as plain SVG, with its layers)".into()),
        ("another root", b"<html/>".to_vec(), "a.svg: error: this is no SVG: its root element is \"html\" (hint: save the drawing as plain SVG, with its layers)".into()),
        ("compressed", vec![0x1f, 0x8b, 8, 0], "a.svg: error: the drawing is compressed (hint: save it as plain SVG, not SVGZ)".into()),
        ("no size", b"<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0h1v1z\"/></svg>".to_vec(), "a.svg: error: the drawing has no size (hint: give the root element a viewBox, or a width and a height, above zero)".into()),
        ("an empty page", svg("<g id=\"arm\"/><defs><path d=\"M0 0h1v1z\"/></defs>"), "a.svg: error: nothing is drawn in it (hint: draw the figure, each piece in a group or a layer of its own)".into()),
        ("text", svg("<g id=\"arm\"><text>arm</text></g>"), "a.svg: error: the drawing is text alone, whose look depends on the fonts of the machine (hint: turn the text into outlines in the drawing program, then group what moves together)".into()),
        ("a raster", svg(&format!("<g id=\"layer1\">{picture}</g>")), "a.svg: error: the drawing is one picture of pixels (hint: cut the picture into its pieces, each an image in a layer with a name, or trace it first)".into()),
        ("one path", svg(path), format!("a.svg: error: the drawing is one single path {CUT}")),
        ("flattened", svg(&path.repeat(7)), format!("a.svg: error: the drawing has no groups and no layers: 7 shapes lie side by side without names {CUT}")),
        ("one group", svg(&format!("<g id=\"figure\">{}</g>", path.repeat(3))), format!("a.svg: error: all of the drawing is one group {CUT}")),
    ];
    for (name, bytes, want) in rows {
        assert_eq!(told("a.svg", &bytes), [want], "{name}");
    }
}

#[test]
fn text_beside_pieces_is_told_and_the_rest_is_drafted() {
    let body = "<g id=\"body\"><path d=\"M1 1h30v30z\"/><text>hi</text></g><g id=\"arm\"><path d=\"M9 9h30v9z\"/></g>";
    assert_eq!(
        told("a.svg", format!("{SVG}{body}</svg>").as_bytes()),
        [
            "a.svg:1:97: warning: text is not drawn: its look depends on the fonts of the machine (hint: turn the text into outlines in the drawing program)"
        ]
    );
}

fn run(folder: &std::path::Path, arguments: &[&str]) -> (Option<i32>, String) {
    let run = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap();
    let told =
        String::from_utf8_lossy(&run.stderr).into_owned() + &String::from_utf8_lossy(&run.stdout);
    (run.status.code(), told)
}

#[test]
fn nothing_is_written_over_unless_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let body =
        "<g id=\"body\"><path d=\"M1 1h30v30z\"/></g><g id=\"arm\"><path d=\"M9 9h30v9z\"/></g>";
    std::fs::write(at("a.svg"), format!("{SVG}{body}</svg>")).unwrap();
    std::fs::write(at("poses.toml"), "# mine\n").unwrap();
    let (code, told) = run(folder.path(), &["draft", "a.svg", "--messages", "short"]);
    assert_eq!(code, Some(2));
    assert!(told.contains("poses.toml: error: \"poses.toml\" is there already (hint: --update adds what is new in the drawing and leaves the rest, --overwrite writes it all anew)"), "{told}");
    assert!(!at("rig.toml").exists() && !at("out").exists());
    assert_eq!(
        std::fs::read_to_string(at("poses.toml")).unwrap(),
        "# mine\n"
    );
    assert_eq!(
        run(folder.path(), &["draft", "a.svg", "--overwrite"]).0,
        Some(0)
    );
    assert!(
        std::fs::read_to_string(at("poses.toml"))
            .unwrap()
            .starts_with("[pose.rest]")
    );
    assert!(at("out").read_dir().unwrap().count() == 1);
    let (code, told) = run(
        folder.path(),
        &["draft", "missing.svg", "--messages", "short"],
    );
    assert_eq!(
        (code, told.as_str()),
        (Some(2), "missing.svg: error: there is no such drawing\n")
    );
    std::fs::create_dir(at("b")).unwrap();
    let (code, told) = run(
        folder.path(),
        &["draft", "a.svg", "b/c.svg", "--messages", "short"],
    );
    assert_eq!(code, Some(2));
    assert!(told.contains("b/c.svg: error: the drawings lie in different folders (hint: a rig and its drawings lie in one folder; move them together)"), "{told}");
}
