//! What is told, and what used not to be.

use super::show::Show;

#[test]
fn no_name_turns_the_text_of_a_nights_page() {
    let show = Show::new();
    show.edit("robo/rig.toml", "\"Robo\"", "\"Ro\u{202e}bo\u{200f}\"");
    show.edit(
        "robo/p.toml",
        "[pose.rest]",
        "[pose.rest]\nnote = \"\u{2067}\"",
    );
    show.run("night cast.toml --label mon\u{202e}day -q", 0);
    // What Unicode annex 9 has for it: embeddings, overrides, isolates and marks.
    let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    for page in ["index.html", "history.html"] {
        let page = show.read(&format!("out/night/{page}"));
        assert!(!page.contains(turns));
        assert!(page.contains("mon\u{27e8}U+202E\u{27e9}day"), "{page}");
    }
    assert!(
        show.read("out/night/index.html")
            .contains("Ro\u{27e8}U+202E\u{27e9}bo\u{27e8}U+200F\u{27e9}")
    );
}

#[test]
fn a_swatch_is_not_used_because_another_name_begins_like_it() {
    let show = Show::new();
    show.edit(
        "robo/rig.toml",
        "dark = \"#202030\"",
        "dark = \"#202030\"\ncloth = \"#aa3344\"\ncloth_line = \"#551122\"\nred-2 = \"#010203\"",
    );
    show.edit(
        "robo/rig.toml",
        "[check]",
        "[garment.cap]\npart = \"antenna\"\non = [\"body\"]\ntrim = \"cloth_line\"\n[check]",
    );
    show.edit("robo/robo.svg", "id=\"mouth_paint\"", "id=\"swatch-red-2\"");
    let told = show.run("lint robo --messages short", 0);
    let unused: Vec<&str> = told
        .lines()
        .filter(|line| line.contains("nothing is coloured with swatch"))
        .collect();
    assert_eq!(unused.len(), 1, "{told}");
    assert!(unused[0].contains("\"cloth\""), "{told}");
}

/// Maps of owners have 16 bits for a part.
#[test]
fn more_parts_than_can_be_told_apart_are_refused() {
    let show = Show::new();
    let parts: String = (0..65_536)
        .map(|n| format!("p{n} = {{ art = \"robo.svg#body\", pivot = [0, 0] }}\n"))
        .collect();
    let head = "[character]\nname = \"Many\"\ncanvas = [72, 72]\n[part]\n";
    show.write("many/rig.toml", format!("{head}{parts}"));
    show.write("many/robo.svg", super::show::ART);
    show.write("many/p.toml", "[pose.rest]\n");
    let told = show.run("render many many/p.toml --messages short", 2);
    assert!(told.contains("more than 65535 parts"), "{told}");
}
