//! Drawings that ask for what they will not get.

use base64::Engine as _;

use super::show::Show;

fn picture(width: u32) -> Vec<u8> {
    let mut pixels = tiny_skia::Pixmap::new(width, 20).unwrap();
    let data = pixels.data_mut();
    // Nothing that packs small: what is cut short must lack something.
    for (at, byte) in data.iter_mut().enumerate() {
        *byte = if at % 4 == 3 {
            255
        } else {
            (at * at % 251) as u8
        };
    }
    layfig::draw::png(pixels.as_ref(), false, layfig::draw::Effort::Quick).unwrap()
}

/// A baseline JPEG of one grey block, put together by hand from ISO/IEC 10918-1: quantisation table,
/// frame, two Huffman tables of one code each, a scan of two zero codes, end.
fn jpeg() -> Vec<u8> {
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xdb, 0, 67, 0];
    bytes.extend([1; 64]);
    bytes.extend([0xff, 0xc0, 0, 11, 8, 0, 8, 0, 8, 1, 1, 0x11, 0]);
    for class in [0x00, 0x10] {
        bytes.extend([0xff, 0xc4, 0, 20, class, 1]);
        bytes.extend([0; 16]);
    }
    bytes.extend([0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x3f, 0xff, 0xd9]);
    bytes
}

fn embedded(mime: &str, bytes: &[u8]) -> String {
    let text = base64::engine::general_purpose::STANDARD.encode(bytes);
    format!("data:{mime};base64,{text}")
}

#[test]
fn a_damaged_picture_is_an_error_like_a_missing_one() {
    let show = Show::new();
    let good = picture(20);
    let cut = &good[..good.len() / 2];
    let grey = jpeg();
    let told = |href: &str, code: i32| {
        let image = format!("<image width=\"20\" height=\"20\" href=\"{href}\"/>");
        let svg = super::show::ART.replace("<g id=\"mouth\">", &format!("<g id=\"mouth\">{image}"));
        show.write("robo/robo.svg", svg);
        show.run("render robo --pose rest --messages short", code)
    };
    for (name, bytes, what) in [
        ("good.png", &good[..], ""),
        ("grey.jpg", &grey[..], ""),
        ("empty.png", b"", "is empty"),
        ("words.png", b"no picture at all", "is no picture"),
        ("cut.png", cut, "is damaged or cut short"),
        (
            "cut.jpg",
            &grey[..grey.len() - 2],
            "is damaged or cut short",
        ),
        ("drawing.svg", super::show::ART.as_bytes(), "is no picture"),
    ] {
        show.write(&format!("robo/{name}"), bytes);
        let code = if what.is_empty() { 0 } else { 2 };
        let linked = told(name, code);
        if !what.is_empty() {
            assert!(
                linked.contains(&format!("error: image \"{name}\" {what}")),
                "{linked}"
            );
            assert!(linked.contains("robo.svg:4:"), "{linked}");
        }
        let mime = if name.ends_with("jpg") {
            "image/jpeg"
        } else {
            "image/png"
        };
        if !name.ends_with("svg") {
            let inside = told(&embedded(mime, bytes), code);
            // Whoever says that it is a PNG is believed until it is read.
            let what = what.replace("is no picture", "is damaged or cut short");
            if !what.is_empty() {
                assert!(
                    inside.contains(&format!("error: this image {what}")),
                    "{inside}"
                );
            }
        }
    }
    assert!(told("data:application/zip;base64,AAAA", 2).contains("this image is no picture"));
    assert!(told("", 2).contains("image \"\" names no picture"));
}

#[test]
fn a_colour_that_is_none_is_told() {
    let show = Show::new();
    let told = |from: &str, to: &str| {
        show.write("robo/robo.svg", super::show::ART.replace(from, to));
        show.run("render robo --pose rest --messages short", 0)
    };
    let fill = "id=\"mouth_paint\" fill=\"#202030\"";
    let text = told(fill, "id=\"mouth_paint\" fill=\"ruby\"");
    assert!(
        text.contains("robo.svg:4:44: warning: \"ruby\" is no known colour: black is drawn"),
        "{text}"
    );
    let text = told(
        fill,
        "id=\"mouth_paint\" style=\"fill: #20203; stroke:jade\"",
    );
    assert!(
        text.contains("\"#20203\" is no known colour: black is drawn"),
        "{text}"
    );
    assert!(
        text.contains("\"jade\" is no known colour: no line is drawn"),
        "{text}"
    );
    // Names and forms that CSS Color 3 and SVG 2 have.
    for sound in [
        "mediumpurple",
        "none",
        "currentColor",
        "rgb(1, 2, 3)",
        "hsl(20, 50%, 40%)",
        "#abc",
        "url(#x) red",
    ] {
        let text = told(
            fill,
            &format!("id=\"mouth_paint\" stroke=\"#123\" fill=\"{sound}\""),
        );
        assert!(!text.contains("is no known colour"), "{sound}: {text}");
    }
}

#[test]
fn the_id_of_the_root_element_is_the_whole_drawing() {
    let show = Show::new();
    show.edit("robo/robo.svg", "viewBox", "id=\"all\" viewBox");
    let rig = "[character]\nname = \"One\"\ncanvas = [72, 72]\n[part.all]\nart = \"robo.svg#all\"\npivot = [36, 36]\n";
    show.write("one/rig.toml", rig);
    show.write("one/robo.svg", show.read("robo/robo.svg"));
    show.write("one/p.toml", "[pose.rest]\n");
    show.run("render one one/p.toml -q", 0);
    // The same drawing with a group of that name around everything.
    let grouped = super::show::ART
        .replace("<g id=\"body\">", "<g id=\"all\"><g id=\"body\">")
        .replace("</svg>", "</g></svg>");
    show.write("two/rig.toml", rig);
    show.write("two/robo.svg", grouped);
    show.write("two/p.toml", "[pose.rest]\n");
    show.run("render two two/p.toml -q", 0);
    let read = |path: &str| std::fs::read(show.path(path)).unwrap();
    assert!(read("out/one/p/rest.png") == read("out/two/p/rest.png"));
    assert!(!show.run("lint one one/p.toml", 0).contains("unused-group"));
}

/// A mouth that only pixels can show, in a drawing whose root element has these attributes.
fn filtered(root: &str, mouth: &str, title: &str) -> String {
    super::show::ART
        .replace("<svg ", &format!("<svg {root} "))
        .replace(
            "<g id=\"mouth\">",
            &format!(
                "<filter id=\"still\"><feOffset dx=\"0\" dy=\"0\"/></filter>\
                 <g id=\"mouth\" {mouth} filter=\"url(#still)\"><title>{title}</title>"
            ),
        )
}

fn at_dusk(show: &Show, dark: [&str; 2]) {
    let palettes = format!(
        "dark = \"{}\"\n[palette.dusk]\ndark = \"{}\"",
        dark[0], dark[1]
    );
    show.edit("robo/rig.toml", "dark = \"#202030\"", &palettes);
    show.edit("robo/p.toml", "[pose.a]", "[pose.a]\npalette = \"dusk\"");
}

#[test]
fn a_letter_written_as_a_number_is_no_colour() {
    let show = Show::new();
    at_dusk(&show, ["#223333", "#d0d0ff"]);
    let svg = filtered("", "", "caf&#233;").replace("#202030", "#223333");
    show.write("robo/robo.svg", svg);
    show.edit("robo/p.toml", "replace = { mouth = \"open\" }", "");
    show.run("render robo --pose a -q", 0);
    let picture = tiny_skia::Pixmap::load_png(show.path("out/robo/p/a.png")).unwrap();
    let mouth = picture.pixel(36, 43).unwrap();
    assert_eq!(
        [mouth.red(), mouth.green(), mouth.blue()],
        [0xd0, 0xd0, 0xff]
    );
}

#[test]
fn a_drawing_that_cannot_take_a_palettes_colours_is_an_error() {
    let show = Show::new();
    at_dusk(&show, ["#202030", "#556677"]);
    // Two names of namespaces that a palette makes one: no element may have an attribute twice.
    let svg = filtered(
        "xmlns:one=\"#202030\" xmlns:two=\"#556677\"",
        "one:of=\"a\" two:of=\"b\"",
        "",
    );
    show.write("robo/robo.svg", svg);
    show.edit("robo/p.toml", "replace = { mouth = \"open\" }", "");
    let told = show.run("render robo --messages short", 2);
    let place = "robo/rig.toml:22:";
    let line = told
        .lines()
        .find(|l| l.contains(place))
        .unwrap_or_else(|| panic!("{told}"));
    assert!(
        line.contains("error: \"mouth\" cannot be drawn in palette \"dusk\", which pose \"a\" has"),
        "{told}"
    );
    assert_eq!(show.names("out/robo/p"), ["rest.png"], "{told}");
}

#[test]
fn a_picture_that_is_too_large_to_draw_on_is_refused() {
    use layfig::draw::{DrawError, Scratch, draw_onto};
    use layfig::geom::Affine;
    let show = Show::new();
    let (mut sources, mut problems, mut library) = Default::default();
    let folder = show.path("robo");
    let member = layfig::cast::load_member(&folder, &mut sources, &mut problems, &mut library);
    let member = std::sync::Arc::new(member.unwrap());
    let rest = layfig::cast::Pose::rest();
    let figure = layfig::solve::Puppet::new(member, 0, &library)
        .unwrap()
        .figure(&rest)
        .unwrap();
    let on = |width, height| {
        let mut pixels = tiny_skia::Pixmap::new(width, height).unwrap();
        let drawn = draw_onto(
            &figure,
            Affine::IDENTITY,
            &mut pixels.as_mut(),
            &mut Scratch::default(),
        );
        (drawn, pixels.data().iter().any(|&byte| byte != 0))
    };
    assert_eq!(on(32_767, 60), (Ok(()), true));
    for (width, height) in [(32_768, 60), (60, 32_768)] {
        let limit = 32_767;
        let refused = DrawError::TooLarge {
            width,
            height,
            limit,
        };
        assert_eq!(on(width, height), (Err(refused), false));
    }
}
