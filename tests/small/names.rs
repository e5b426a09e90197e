//! Names that begin alike are different names.

use super::show::Show;

fn plan(show: &Show) -> Vec<String> {
    let told = show.run("night cast.toml --dry-run", 2);
    let plan = told.lines().filter_map(|line| {
        let (unit, _) = line.split_once("  ")?;
        ["picture", "sheet", "check", "comparison"]
            .iter()
            .any(|kind| unit.starts_with(kind))
            .then(|| unit.to_owned())
    });
    plan.collect()
}

#[test]
fn a_mistake_of_dogfish_is_none_of_dog() {
    let show = Show::empty();
    show.member("dog");
    show.member("dogfish");
    show.write(
        "cast.toml",
        "[cast]\nname = \"Sea\"\n[member.dog]\n[member.dogfish]\n",
    );
    show.run("approve cast.toml --all -q", 0);
    show.run("night cast.toml -q", 0);
    show.edit("dogfish/p.toml", "scale = { mouth", "scale = { moth");
    let plan = plan(&show);
    assert!(plan.contains(&"comparison dogfish".to_owned()), "{plan:?}");
    assert!(!plan.contains(&"comparison dog".to_owned()), "{plan:?}");
}

/// A list that cannot be read takes away neither what was made of it nor what was approved.
#[test]
fn a_list_with_mistakes_keeps_what_was_made_of_it_in_every_view() {
    let show = Show::new();
    let rig = show.read("robo/rig.toml");
    let at = rig.find("[part.body]").unwrap();
    let (head, parts) = rig.split_at(at);
    show.write("robo/side.toml", parts);
    show.write(
        "robo/rig.toml",
        format!("{head}[views]\nside = \"side.toml\"\n")
            .replace("\"p.toml\"", "\"p.toml\", \"q.toml\""),
    );
    show.write("robo/q.toml", "[pose.still]\n");
    show.run("approve robo --all -q", 0);
    show.run("night cast.toml -q", 0);
    show.write("robo/q.toml", "[pose.still]\nturns = 3\n");
    show.run("night cast.toml -q", 2);
    assert!(show.path("out/night/robo/side/q/still.png").exists());
    show.run("compare robo -q", 2);
    let found = show.comparison("robo");
    let still = found.poses.iter().find(|p| p.name == "still").unwrap();
    assert_eq!(still.view.as_deref(), Some("side"));
    assert_eq!(still.state, layfig::compare::State::Missing);
}

/// A sheet with a mistake keeps the page that was made of it.
#[test]
fn a_sheet_with_mistakes_keeps_its_page() {
    let show = Show::new();
    let poses = show.read("robo/p.toml");
    show.write(
        "robo/p.toml",
        format!("{poses}[sheet.acting]\nkind = \"pose\"\nposes = [\"rest\"]\n"),
    );
    show.run("night cast.toml -q", 0);
    let page = show.path("out/night/robo/p.acting.sheet.png");
    assert!(page.exists());
    show.edit("robo/p.toml", "kind = \"pose\"", "kind = \"pse\"");
    show.run("night cast.toml -q", 2);
    assert!(page.exists());
}
