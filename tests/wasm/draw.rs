//! Draws a member from memory. Natively it writes the documents and pixels to the file that it is given; for the browser's
//! machine it is built with that file, and its exit code tells how its own differ: 0 where not at all, 255 where
//! documents do by more than the last bits of numbers, else by how much the colour that differs most does.

use std::process::ExitCode;

use layfig::files::Files;
use layfig::project::Project;

/// What the native run wrote.
const WANTED: Option<&[u8]> = include!(env!("LAYFIG_WANTED"));

fn main() -> ExitCode {
    let files = Files::memory([
        (
            "rigs/bot/rig.toml",
            &include_bytes!("../../rigs/mooring_bot/rig.toml")[..],
        ),
        (
            "rigs/bot/front.toml",
            include_bytes!("../../rigs/mooring_bot/front.toml"),
        ),
        (
            "rigs/bot/side.toml",
            include_bytes!("../../rigs/mooring_bot/side.toml"),
        ),
        (
            "rigs/bot/front.svg",
            include_bytes!("../../rigs/mooring_bot/front.svg"),
        ),
        (
            "rigs/bot/side.svg",
            include_bytes!("../../rigs/mooring_bot/side.svg"),
        ),
        (
            "rigs/bot/front_replacements.svg",
            include_bytes!("../../rigs/mooring_bot/front_replacements.svg"),
        ),
        (
            "rigs/bot/side_replacements.svg",
            include_bytes!("../../rigs/mooring_bot/side_replacements.svg"),
        ),
        (
            "poses/mooring_bot.toml",
            include_bytes!("../../poses/mooring_bot.toml"),
        ),
    ])
    .expect("paths of memory");
    let project = Project::open_at(files, "rigs/bot").expect("a rig without errors");
    let member = &project.members()[0];
    let (mut documents, mut pixels) = (Vec::new(), Vec::new());
    for pose in member.lists()[0].poses.iter().take(4) {
        for view in member.views() {
            let figure = member.posed(pose.clone()).view(view).expect("a figure");
            documents.extend(figure.to_svg().into_bytes());
            pixels.extend(figure.render(0.25).expect("a picture").rgba);
        }
    }
    let all = [&documents[..], &pixels].concat();
    let Some(wanted) = WANTED else {
        let file = std::env::args_os().nth(1).expect("a file to write");
        std::fs::write(file, all).expect("a file is written");
        return ExitCode::SUCCESS;
    };
    let start = wanted.len().saturating_sub(pixels.len());
    let (other, wanted) = wanted.split_at(start);
    if !alike(&documents, other) {
        return ExitCode::from(255);
    }
    let worst = pixels.iter().zip(wanted).map(|(a, b)| a.abs_diff(*b)).max();
    ExitCode::from(worst.unwrap_or(0))
}

/// Whether two documents are the same but for the last bits of numbers: arcs are made with the platform's own sine.
fn alike(a: &[u8], b: &[u8]) -> bool {
    let (a, b) = (String::from_utf8_lossy(a), String::from_utf8_lossy(b));
    let apart = |c: char| !(c.is_ascii_digit() || matches!(c, '-' | '.'));
    let mut pairs = a.split(apart).zip(b.split(apart));
    let near = |a: &str, b: &str| {
        let numbers = a.parse::<f64>().ok().zip(b.parse::<f64>().ok());
        a == b || numbers.is_some_and(|(a, b)| (a - b).abs() <= 1e-9)
    };
    a.split(apart).count() == b.split(apart).count() && pairs.all(|(a, b)| near(a, b))
}
