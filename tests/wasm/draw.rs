//! Draws a member from memory. Natively it prints a sum of the bytes; for the browser's machine it is built with that
//! sum, and stops where its own is another.

use layfig::compare::Digest;
use layfig::files::Files;
use layfig::project::Project;

fn main() {
    let files = Files::memory([
        (
            "rigs/bot/rig.toml",
            include_str!("../../rigs/mooring_bot/rig.toml"),
        ),
        (
            "rigs/bot/front.toml",
            include_str!("../../rigs/mooring_bot/front.toml"),
        ),
        (
            "rigs/bot/side.toml",
            include_str!("../../rigs/mooring_bot/side.toml"),
        ),
        (
            "rigs/bot/front.svg",
            include_str!("../../rigs/mooring_bot/front.svg"),
        ),
        (
            "rigs/bot/side.svg",
            include_str!("../../rigs/mooring_bot/side.svg"),
        ),
        (
            "rigs/bot/front_replacements.svg",
            include_str!("../../rigs/mooring_bot/front_replacements.svg"),
        ),
        (
            "rigs/bot/side_replacements.svg",
            include_str!("../../rigs/mooring_bot/side_replacements.svg"),
        ),
        (
            "poses/mooring_bot.toml",
            include_str!("../../poses/mooring_bot.toml"),
        ),
    ])
    .expect("paths of memory");
    let project = Project::open_at(files, "rigs/bot").expect("a rig without errors");
    let mut bytes = Vec::new();
    for member in project.members() {
        for pose in member.lists()[0].poses.iter().take(4) {
            for view in member.views() {
                let figure = member.posed(pose.clone()).view(view).expect("a figure");
                bytes.extend(
                    figure
                        .render(0.25)
                        .expect("a picture")
                        .png()
                        .expect("a file"),
                );
                bytes.extend(figure.to_svg().into_bytes());
            }
        }
    }
    let sum = Digest::of(&bytes);
    println!("{sum}");
    if let Some(wanted) = option_env!("LAYFIG_WANTED") {
        assert_eq!(sum.to_string(), wanted);
    }
}
