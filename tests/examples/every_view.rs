//! One pose of every member as SVG, in each of its views.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

use layfig::{Files, Project};

fn main() -> Result<(), Box<dyn Error>> {
    for file in run(Path::new("rigs"), Path::new("out/every_view"))? {
        println!("{}", file.display());
    }
    Ok(())
}

/// Gives the files.
pub fn run(rigs: &Path, out: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let project = Project::open(Files::disk(rigs))?;
    let mut files = Vec::new();
    for member in project.members() {
        let folder = out.join(member.key());
        fs::create_dir_all(&folder)?;
        let haul = member.pose_named("haul").unwrap_or_else(|_| member.pose());
        for view in member.views() {
            let name = if view.is_empty() { "figure" } else { view };
            let file = folder.join(name).with_extension("svg");
            fs::write(&file, haul.view(view)?.to_svg())?;
            files.push(file);
        }
    }
    Ok(files)
}
