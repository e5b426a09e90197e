//! For each part that is seen in a pose a matte: white where the part owns the pixel, black elsewhere.

use std::error::Error;
use std::fs;
use std::path::Path;

use layfig::draw::Picture;
use layfig::{Files, Project};

fn main() -> Result<(), Box<dyn Error>> {
    for (part, pixels) in run(Path::new("rigs"), Path::new("out/mattes"))? {
        println!("{pixels:8} {part}");
    }
    Ok(())
}

/// Gives the parts, with how many pixels each owns.
pub fn run(rigs: &Path, out: &Path) -> Result<Vec<(String, usize)>, Box<dyn Error>> {
    let project = Project::open(Files::disk(rigs))?;
    let figure = project.member("ship_dog")?.pose_named("sit")?.figure()?;
    let owners = figure.owners(0.5)?;
    let (width, height) = (owners.map.width, owners.map.height);

    fs::create_dir_all(out)?;
    let mut seen = Vec::new();
    for part in &owners.names {
        let Some(owned) = owners.of(part) else {
            continue;
        };
        let owned: Vec<bool> = owned.collect();
        let count = owned.iter().filter(|&&here| here).count();
        if count == 0 {
            continue;
        }
        let grey = |&here: &bool| if here { [255; 4] } else { [0, 0, 0, 255] };
        let rgba = owned.iter().flat_map(grey).collect();
        let matte = Picture {
            width,
            height,
            rgba,
        };
        fs::write(out.join(part).with_extension("png"), matte.png()?)?;
        seen.push((part.clone(), count));
    }
    Ok(seen)
}
