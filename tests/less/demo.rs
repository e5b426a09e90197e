//! The demo rigs, written in short, and at length in `tests/full`.

use std::path::Path;

use layfig::Files;
use layfig::art::Library;
use layfig::cast::load_member;
use layfig::diag::{Problems, Sources, short};

/// The demo rigs, written in short, are what `tests/full` says at length: all but where they say it.
#[test]
fn the_demo_rigs_are_what_they_are_in_full() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["deckhand", "ship_dog", "mooring_bot"] {
        let files = |folders: &[&str]| -> Vec<(String, Vec<u8>)> {
            let mut all = std::collections::BTreeMap::new();
            for folder in folders {
                for entry in std::fs::read_dir(root.join(folder).join(name)).expect("a folder") {
                    let path = entry.expect("an entry").path();
                    if path.is_file() {
                        let name = path
                            .file_name()
                            .expect("a name")
                            .to_string_lossy()
                            .into_owned();
                        all.insert(format!("m/{name}"), std::fs::read(&path).expect("a file"));
                    }
                }
            }
            let mut all: Vec<_> = all.into_iter().collect();
            all.push((format!("poses/{name}.toml"), b"[pose.rest]".to_vec()));
            all
        };
        let records = |folders: &[&str]| {
            let files: Vec<(String, Vec<u8>)> = files(folders)
                .into_iter()
                .map(|(path, bytes)| {
                    let path = if path.starts_with("poses") {
                        path
                    } else {
                        format!("rigs/{path}")
                    };
                    (path, bytes)
                })
                .collect();
            let mut sources = Sources::of(Files::memory(files).expect("paths"));
            let (mut problems, mut library) = (Problems::default(), Library::new());
            let path = Path::new("rigs/m");
            let member = load_member(path, &mut sources, &mut problems, &mut library);
            let told: Vec<String> = problems.list().iter().map(|p| short(p, &sources)).collect();
            assert_eq!(told, [""; 0]);
            let member = member.expect("a member");
            let record = |view| layfig::compare::RigRecord::of(&member, view, &library);
            (0..member.views.len()).map(record).collect::<Vec<_>>()
        };
        let (mut short, mut full) = (records(&["rigs"]), records(&["rigs", "tests/full"]));
        for record in short.iter_mut().chain(&mut full) {
            let record = record.as_mut().expect("a record");
            // A joint that one view has and another has not may stand elsewhere: it draws nothing.
            record.parts.sort_keys();
            record.seams.sort_keys();
            record.masks.sort_keys();
            record.garments.sort_keys();
        }
        assert!(short == full, "{name}");
    }
}
