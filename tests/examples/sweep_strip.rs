//! A joint through its limits, its pictures side by side in one file.

use std::error::Error;
use std::fs;
use std::path::Path;

use layfig::draw::Picture;
use layfig::{Files, Project};

fn main() -> Result<(), Box<dyn Error>> {
    let angles = run(Path::new("rigs"), Path::new("out/forearm_near.png"))?;
    println!("{angles:?}");
    Ok(())
}

/// Gives the angles, degrees.
pub fn run(rigs: &Path, out: &Path) -> Result<Vec<f64>, Box<dyn Error>> {
    let project = Project::open(Files::disk(rigs))?;
    let deckhand = project.member("deckhand")?;
    let side = deckhand.puppet("side")?;
    let [least, most] = side
        .limits("forearm_near")
        .ok_or("this part has no limits")?;
    let mut angles = vec![least];
    while let Some(next) = angles
        .last()
        .map(|angle| angle + 30.0)
        .filter(|next| *next < most)
    {
        angles.push(next);
    }
    angles.push(most);

    let mut cells = Vec::new();
    for &angle in &angles {
        let posing = deckhand.pose_named("rest")?.turn("forearm_near", angle)?;
        cells.push(posing.view("side")?.render(0.25)?);
    }
    let height = cells[0].height;
    let row = |y: usize| cells.iter().flat_map(move |cell| cell.row(y));
    let strip = Picture {
        width: cells.iter().map(|cell| cell.width).sum(),
        height,
        rgba: (0..height as usize).flat_map(row).copied().collect(),
    };
    if let Some(folder) = out.parent() {
        fs::create_dir_all(folder)?;
    }
    fs::write(out, strip.png()?)?;
    Ok(angles)
}
