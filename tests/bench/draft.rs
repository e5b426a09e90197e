//! `layfig draft`, the program itself, from a drawing to its rig and first sheet, beside reading that drawing alone.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::clock::in_turn;
use crate::table::{Table, short};

/// Prints the table.
pub fn run(rounds: usize) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut table = Table::new(&["drawing", "read, ms", "drafted, ms"]);
    let entries = std::fs::read_dir(root.join("tests/draft/art")).expect("drawings");
    let art = entries.map(|entry| vec![entry.expect("an entry").path()]);
    let mut all: Vec<Vec<PathBuf>> = art.collect();
    all.sort();
    let views = [
        "front",
        "three_quarter",
        "side",
        "three_quarter_back",
        "back",
    ];
    let of = |view| root.join(format!("rigs/deckhand/{view}.svg"));
    all.push(views.map(of).to_vec());
    for drawings in all {
        let texts = drawings
            .iter()
            .map(|file| std::fs::read_to_string(file).expect("a drawing"));
        let texts: Vec<String> = texts.collect();
        let mut read = || {
            for text in &texts {
                let tree = usvg::Tree::from_str(text, &usvg::Options::default());
                assert!(tree.is_ok());
            }
        };
        let mut drafted = || {
            let folder = crate::show::folder();
            let mut layfig = Command::new(env!("CARGO_BIN_EXE_layfig"));
            layfig.current_dir(folder.path()).arg("draft").arg("-q");
            for file in &drawings {
                let own = folder.path().join(file.file_name().expect("a name"));
                std::fs::copy(file, &own).expect("a copy");
                layfig.arg(own);
            }
            let run = layfig.output().expect("it starts");
            assert!(run.status.success(), "{run:?}");
        };
        let times = in_turn(rounds, &mut [&mut read, &mut drafted]);
        let name = drawings[0].file_stem().expect("a name").to_string_lossy();
        let name = match drawings.len() {
            1 => name.into_owned(),
            n => format!("deckhand, {n} views"),
        };
        table.row([name, short(times[0]), short(times[1])]);
    }
    table.print("From a drawing to a rig and its first sheet");
}
