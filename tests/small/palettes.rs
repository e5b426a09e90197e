//! Palettes that are edited, and swatches that colour nothing.

use super::show::Show;

/// The colour of a picture's pixel.
fn pixel(show: &Show, pose: &str, [x, y]: [u32; 2]) -> [u8; 3] {
    let path = show.path(&format!("out/robo/p/{pose}.png"));
    let picture = tiny_skia::Pixmap::load_png(path).unwrap();
    let colour = picture.pixel(x, y).unwrap();
    [colour.red(), colour.green(), colour.blue()]
}

fn reds(show: &Show) -> [[u8; 3]; 2] {
    show.run("render robo -q", 0);
    // The body's paint, of nothing but red.
    ["rest", "dusk"].map(|pose| pixel(show, pose, [20, 50]))
}

#[test]
fn editing_any_palette_recolours_its_pictures() {
    let show = Show::new();
    let day = "[palette.day]\nred = \"#d22f27\"\n";
    let night = "[palette.night]\nred = \"#551111\"\n[part.body]\n";
    show.edit("robo/rig.toml", "[part.body]\n", night);
    show.write(
        "robo/p.toml",
        "[pose.rest]\n[pose.dusk]\npalette = \"night\"\n",
    );
    let drawn = [[0xd2, 0x2f, 0x27], [0x55, 0x11, 0x11]];
    assert_eq!(reds(&show), drawn);

    // Where the first palette holds the colours as drawn, an edit of it parts the art from its palettes: that is told.
    show.edit("robo/rig.toml", day, &day.replace("d22f27", "22aa22"));
    let told = show.run("render robo --messages short", 0);
    let want = "robo/rig.toml:8:10: warning: #d22f27 of robo.svg#body_paint is no swatch: no palette recolours it (hint: the first palette holds the colours as drawn; layfig migrate --write";
    assert!(told.contains(want), "{told}");
    show.edit("robo/rig.toml", "22aa22", "d22f27");

    let told = show.run("migrate robo --write", 0);
    assert!(told.contains("+ [swatch]"), "{told}");
    assert_eq!(reds(&show), drawn);
    show.run("approve robo --all -q", 0);
    show.edit(
        "robo/rig.toml",
        "[palette.day]\n",
        "[palette.day]\nred = \"#22aa22\"\n",
    );
    assert_eq!(reds(&show), [[0x22, 0xaa, 0x22], drawn[1]]);
    let told = show.run("compare robo", 1);
    assert!(told.contains("1 differs, 1 identical"), "{told}");
    show.edit("robo/rig.toml", "#551111", "#010203");
    assert_eq!(reds(&show), [[0x22, 0xaa, 0x22], [1, 2, 3]]);
    // Of the colours as drawn only those that no palette says otherwise.
    show.edit("robo/rig.toml", "dark = \"#202030\"", "dark = \"#202031\"");
    let told = show.run("render robo --messages short", 0);
    assert!(
        told.contains("#202030 of robo.svg#antenna_paint and of"),
        "{told}"
    );
}

#[test]
fn a_swatch_is_used_by_its_whole_name() {
    let show = Show::new();
    let more = "dark = \"#202030\"\ncloth = \"#123456\"\ncloth_line = \"#654321\"\n";
    show.edit("robo/rig.toml", "dark = \"#202030\"\n", more);
    let worn = "[garment.g]\npart = \"mouth\"\non = [\"body\"]\ntrim = \"cloth_line\"\n[check]\n";
    show.edit("robo/rig.toml", "[check]\n", worn);
    let told = show.run("lint robo --messages short", 0);
    let cloth = "nothing is coloured with swatch \"cloth\"";
    assert!(
        told.contains(cloth) && !told.contains("\"cloth_line\""),
        "{told}"
    );
    show.edit("robo/rig.toml", "trim = \"cloth_line\"", "trim = \"dark\"");
    let told = show.run("lint robo --messages short", 0);
    assert!(
        told.contains(cloth) && told.contains("\"cloth_line\""),
        "{told}"
    );
}
