//! Swatches as drawn, and palettes that say what differs.

use super::{FRONT, load};

/// The colours of each palette, and of the art.
fn palettes(rig: &str) -> (Vec<String>, Vec<String>) {
    let art = FRONT.replace(" stroke=\"#000\"", "");
    let (member, _, told) = load(&[("m/rig.toml", rig), ("m/front.svg", &art)]);
    let row = |p: &layfig::cast::Palette| {
        let all = p.swatches.iter().map(|(name, rgb)| format!("{name}={rgb}"));
        format!("{}: {}", p.name, all.collect::<Vec<_>>().join(" "))
    };
    let rows = member.map(|member| {
        let drawn = std::iter::once(row(&member.drawn));
        drawn.chain(member.palettes.iter().map(row)).collect()
    });
    (rows.unwrap_or_default(), told)
}

#[test]
fn swatches_are_as_drawn_and_palettes_say_what_differs() {
    let rig = |character: &str, tables: &str| {
        format!(
            "[character]\ncanvas = [400, 600]\n{character}\n{tables}\n[part.torso]\nart = \"front.svg#torso\"\n"
        )
    };
    let swatch = "[swatch]\nskin = \"#d99c78\"\nteal = \"#2f8f8b\"\n";
    let dusk = "[palette.dusk]\nskin = \"#8a6d7c\"\n";
    let drawn = "drawn: skin=#d99c78 teal=#2f8f8b";
    let at_dusk = "dusk: skin=#8a6d7c teal=#2f8f8b";
    let read = |character: &str, tables: &str| {
        let (rows, told) = palettes(&rig(character, tables));
        assert_eq!(told, [""; 0]);
        rows
    };
    assert_eq!(
        read("", &format!("{swatch}{dusk}")),
        [drawn, drawn, at_dusk]
    );
    assert_eq!(
        read("palette = \"dusk\"", &format!("{swatch}{dusk}")),
        [drawn, at_dusk]
    );
    let day = "[palette.day]\n";
    let as_day = drawn.replace("drawn:", "day:");
    assert_eq!(
        read("palette = \"day\"", &format!("{swatch}{dusk}{day}")),
        [drawn, &as_day, at_dusk]
    );
    assert_eq!(read("", swatch), [drawn, drawn]);
    // Without [swatch] the first palette is as drawn, whichever is the default.
    let old = "[palette.day]\nskin = \"#d99c78\"\n[palette.dusk]\nskin = \"#8a6d7c\"\n";
    assert_eq!(
        read("palette = \"dusk\"", old),
        [
            "drawn: skin=#d99c78",
            "dusk: skin=#8a6d7c",
            "day: skin=#d99c78"
        ]
    );
    let (_, told) = palettes(&rig(
        "palette = \"dask\"",
        &format!("{swatch}{dusk}[palette.night]\nblue = \"#00f\"\n"),
    ));
    assert_eq!(
        told,
        [
            "m/rig.toml:3:11: error: unknown palette \"dask\" (hint: did you mean \"dusk\"?)",
            "m/rig.toml:10:1: error: palette \"night\" has a swatch \"blue\" that [swatch] lacks (hint: known: skin, teal)",
        ]
    );
}

#[test]
fn colours_of_the_art_that_are_no_swatch_are_told_once_each_with_lines_to_paste() {
    let rig = |tables: &str| {
        let parts =
            "[part.torso]\nart = \"front.svg#torso\"\n[part.fist]\nart = \"front.svg#fist_left\"\n";
        format!("[character]\ncanvas = [400, 600]\n{tables}{parts}")
    };
    let told = |tables: &str| load(&[("m/rig.toml", &rig(tables))]).2;
    let swatch = "[swatch]\nskin = \"#d99c78\"\nskin_2 = \"#123456\"\n";
    let black = "m/rig.toml:3:2: warning: #000000 of front.svg#torso and of another element is no swatch: no palette recolours it";
    let teal = "m/rig.toml:3:2: warning: #2f8f8b of front.svg#fist_left is no swatch: no palette recolours it (hint: paste under [swatch], and name them as you like:";
    assert_eq!(
        told(swatch),
        [
            black.to_owned(),
            format!("{teal} skin_2_2 = \"#000000\" skin_2_3 = \"#2f8f8b\")")
        ]
    );
    // Pasted, there is nothing more to tell; nor where it is meant, nor where nothing is recoloured.
    let pasted = format!("{swatch}skin_2_2 = \"#000000\"\nskin_2_3 = \"#2f8f8b\"\n");
    assert_eq!(told(&pasted), [""; 0]);
    let meant = "[[lint.allow]]\ncheck = \"off-palette\"\nreason = \"meant\"\n";
    assert_eq!(told(&format!("{swatch}{meant}")), [""; 0]);
    assert_eq!(told(""), [""; 0]);
    // Without [swatch] these are not lines to paste yet.
    let first = told("[palette.day]\nskin = \"#d99c78\"\nline = \"#000000\"\n");
    assert_eq!(
        first,
        [
            "m/rig.toml:3:10: warning: #2f8f8b of front.svg#fist_left is no swatch: no palette recolours it (hint: the first palette holds the colours as drawn; layfig migrate --write gives them a table of their own, then paste under [swatch], and name them as you like: skin_2 = \"#2f8f8b\")"
        ]
    );
}
