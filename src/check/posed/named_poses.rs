//! Poses that the first law of seams drew wrong, whatever lay between two parts, measured with its openings and with
//! those of today: `tests/reference/first_openings.csv`. The poses are kept as they were, in `first_poses` beside it:
//! their hands have found better places since.

use std::path::Path;
use std::sync::Arc;

use super::borders::Borders;
use super::of_scene;
use super::scene::Scene;
use crate::art::Library;
use crate::cast::{Member, PartId, PoseList, load_member, load_poses};
use crate::check::limb;
use crate::diag::{Problems, Sources};
use crate::geom::{Point, Region};
use crate::pose::ResolvedPose;
use crate::solve::Puppet;

/// An opening of a part in a pose, in the part's own frame.
struct Opening {
    member: String,
    view: String,
    pose: String,
    part: String,
    region: Region,
    /// What must be found.
    measures: String,
}

fn openings() -> Vec<Opening> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/first_openings.csv");
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter(|l| !l.starts_with('#')).skip(1);
    let read = |line: &str| {
        let row: Vec<&str> = line.split(',').collect();
        let contours: Vec<Vec<Point>> = row[5]
            .split(';')
            .map(|contour| {
                let numbers: Vec<f64> = contour.split(' ').map(|n| n.parse().unwrap()).collect();
                numbers.chunks_exact(2).map(|p| [p[0], p[1]]).collect()
            })
            .collect();
        Opening {
            member: row[0].to_owned(),
            view: row[1].to_owned(),
            pose: row[2].to_owned(),
            part: row[3].to_owned(),
            measures: row[4].to_owned(),
            region: Region::from_contours(&contours, tiny_skia::FillRule::EvenOdd),
        }
    };
    lines.map(read).collect()
}

fn staged(member: &str) -> (Vec<Puppet>, Arc<Member>, PoseList) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("rigs")
        .join(member);
    let (mut sources, mut problems, mut library) =
        (Sources::default(), Problems::default(), Library::new());
    let member = load_member(&folder, &mut sources, &mut problems, &mut library).unwrap();
    let member = Arc::new(member);
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference/first_poses")
        .join(&member.key)
        .with_extension("toml");
    let list = load_poses(&path, &member, &mut sources, &mut problems).unwrap();
    let views = 0..member.views.len();
    let puppets = views.map(|v| Puppet::new(Arc::clone(&member), v, &library).unwrap());
    (puppets.collect(), Arc::clone(&member), list)
}

#[test]
fn poses_that_the_first_law_drew_wrong_are_found_and_clean_today() {
    let mut wrong = Vec::new();
    for opening in openings() {
        let (puppets, member, list) = staged(&opening.member);
        let named = |v: &crate::cast::View| v.name.as_deref() == Some(opening.view.as_str());
        let view = member.views.iter().position(named).unwrap_or(0);
        let mut poses = list.poses.iter();
        let pose = poses.find(|p| p.name == opening.pose).unwrap();
        let rest = limb::Rest::new(&puppets[view], Vec::new(), limb::SCALE);
        let borders = Borders::new(&rest);
        let pose = &ResolvedPose::new(pose, &member.views[view]);
        let figure = puppets[view].solve(pose).unwrap();
        let found = |scene: &Scene<'_>| -> Vec<(&'static str, String)> {
            let all = of_scene(scene, pose).into_iter();
            all.map(|f| (f.measure.key(), rest.name(f.parts[0])))
                .collect()
        };
        let mut scene = Scene::new(&rest, &borders, &figure);
        // A hand in the wrong place is a fault of the pose, and not of what seams open.
        let mut now = found(&scene);
        now.retain(|(measure, _)| *measure != "floating");
        let ids = member.views[view].parts.iter();
        let part = ids
            .map(|p| &member.names[p.name.at()])
            .position(|n| **n == *opening.part);
        let part = PartId(u32::try_from(part.unwrap()).unwrap());
        let opened = scene.open_instead(part, opening.region);
        let before = found(&scene);
        let is_found = |measure: &str| {
            let one = |(m, part): &(&'static str, String)| *m == measure && *part == opening.part;
            before.iter().any(one)
        };
        if !opened || !now.is_empty() || !opening.measures.split(' ').all(is_found) {
            wrong.push(format!(
                "{} {} {} {}: {before:?} before, {now:?} now",
                opening.member, opening.view, opening.pose, opening.part
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
