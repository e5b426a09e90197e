//! What is asked for and cannot be had.

use super::show::Show;

#[test]
fn a_kind_of_sheet_that_nobody_has_is_nothing_selected() {
    let show = Show::new();
    let bare = show
        .read("robo/rig.toml")
        .replace("replacements = { open = \"robo.svg#open\" }\n", "")
        .replace("[palette.day]\nred = \"#d22f27\"\ndark = \"#202030\"\n", "");
    show.write("robo/rig.toml", bare);
    show.edit("robo/p.toml", "replace = { mouth = \"open\" }\n", "");
    for (kind, why) in [
        ("turnaround", "two views"),
        ("expressions", "[crop.head]"),
        ("charts", "replacements"),
        ("colours", "palettes"),
    ] {
        let told = show.run(&format!("sheet robo --kind {kind} --messages short"), 3);
        assert!(
            told.contains("nothing is selected: no sheet of that kind"),
            "{told}"
        );
        assert!(told.contains(why), "{told}");
        // Beside another that can be made it is told, and stops nothing.
        let told = show.run(
            &format!("sheet robo --kind model,{kind} --messages short"),
            0,
        );
        assert!(
            told.contains(&format!("warning: no sheet of the kind {kind}")),
            "{told}"
        );
        assert!(told.contains("model.sheet.png"), "{told}");
    }
    assert!(!show.run("sheet robo --kind all", 0).contains("no sheet"));
}

#[test]
fn a_drawing_given_as_a_rig_is_one_line() {
    let show = Show::new();
    let told = show.run("render robo/robo.svg --messages short", 2);
    assert_eq!(told.matches("error:").count(), 1, "{told}");
    assert!(
        told.contains("robo/robo.svg: error: this file is a drawing"),
        "{told}"
    );
}

#[test]
fn lint_takes_views_and_counts_what_it_looked_at() {
    let show = Show::new();
    let rig = show.read("robo/rig.toml");
    let (head, parts) = rig.split_at(rig.find("[part.body]").unwrap());
    show.write("robo/front.toml", parts);
    // Behind the body, where nobody sees it.
    let side = parts.replace("pivot = [36, 43]", "pivot = [36, 43]\ndepth = -5");
    show.write("robo/side.toml", side);
    show.write(
        "robo/rig.toml",
        format!("{head}[views]\nfront = \"front.toml\"\nside = \"side.toml\"\n"),
    );
    let of_side = |told: &str| told.matches("in view \"side\"").count();
    let all = show.run("lint robo --messages short", 1);
    assert!(of_side(&all) > 0, "{all}");
    assert_eq!(show.run("lint robo --view all --messages short", 1), all);
    assert_eq!(of_side(&show.run("lint robo --view front", 0)), 0);
    assert_eq!(
        of_side(&show.run("lint robo --view side", 1)),
        of_side(&all)
    );
    assert!(
        show.run("lint robo --view sied", 3)
            .contains("no member has a view \"sied\"")
    );
    show.write("robo/side.toml", "[part.body]\nart = 3\n");
    let told = show.run("lint robo --messages short", 2);
    assert!(told.contains("1 error in files"), "{told}");
    assert!(!told.contains("0 members"), "{told}");
}
