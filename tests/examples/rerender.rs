//! Draws what an edit changes before anybody saves it: the show's files in memory, one of them edited, and only the
//! pictures that come out otherwise are written.

use std::error::Error;
use std::fs;
use std::path::Path;

use layfig::compare::Tolerance;
use layfig::{Files, Project};

fn main() -> Result<(), Box<dyn Error>> {
    for pose in run(Path::new("."), Path::new("out/rerender"))? {
        println!("{pose}");
    }
    Ok(())
}

/// Gives the poses that changed.
pub fn run(show: &Path, out: &Path) -> Result<Vec<String>, Box<dyn Error>> {
    let mut files = Vec::new();
    for folder in ["rigs/ship_dog", "poses"] {
        for entry in fs::read_dir(show.join(folder))? {
            let name = entry?.file_name().into_string().unwrap_or_default();
            let path = format!("{folder}/{name}");
            if path.ends_with(".toml") || path.ends_with(".svg") {
                let text = fs::read_to_string(show.join(&path))?;
                files.push((path, text));
            }
        }
    }
    let before = Project::open_at(Files::memory(files.clone())?, "rigs/ship_dog")?;
    // What an editor would hold: the last joint of the tail a little lower.
    for (_, text) in files
        .iter_mut()
        .filter(|(path, _)| path.ends_with("rig.toml"))
    {
        *text = text.replacen("[192, 396]", "[188, 400]", 1);
    }
    let after = Project::open_at(Files::memory(files)?, "rigs/ship_dog")?;

    fs::create_dir_all(out)?;
    let mut changed = Vec::new();
    let (before, after) = (&before.members()[0], &after.members()[0]);
    let list = &after.lists()[0];
    for pose in &list.poses {
        let figure = after.posed(pose.clone()).figure()?;
        let old = before.pose_named(&pose.name)?.figure()?;
        let found = figure.compare(&old, 0.25, &Tolerance::default())?;
        if found.pixels.figures.changed > 0 {
            fs::write(
                out.join(&pose.name).with_extension("png"),
                figure.render(0.25)?.png()?,
            )?;
            changed.push(pose.name.clone());
        }
    }
    Ok(changed)
}
