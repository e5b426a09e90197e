//! `layfig render --watch`: from a save to the picture of the deckhand that it changes, the program itself.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant, SystemTime};

use crate::show::folder;
use crate::table::{Table, short};

/// A program that is ended with what started it.
struct Staying(Child);

impl Drop for Staying {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Prints the table: medians of so many saves.
pub fn run(saves: usize) {
    let work = folder();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for part in ["rigs/deckhand", "poses"] {
        std::fs::create_dir_all(work.path().join(part)).expect("a folder");
        for entry in std::fs::read_dir(root.join(part)).expect("it is there") {
            let entry = entry.expect("an entry");
            if entry.path().is_file() {
                let to = work.path().join(part).join(entry.file_name());
                std::fs::copy(entry.path(), to).expect("it is copied");
            }
        }
    }
    let mut layfig = Command::new(env!("CARGO_BIN_EXE_layfig"));
    layfig
        .current_dir(work.path())
        .stderr(Stdio::null())
        .stdout(Stdio::null());
    layfig.args(["render", "rigs/deckhand", "--watch", "-o", "out"]);
    let _staying = Staying(layfig.spawn().expect("it starts"));
    let picture = work
        .path()
        .join("out/deckhand/three_quarter/deckhand/haul.png");
    let when = || {
        std::fs::metadata(&picture)
            .and_then(|about| about.modified())
            .ok()
    };
    let after = |old: Option<SystemTime>| {
        let start = Instant::now();
        while when() == old {
            assert!(
                start.elapsed() < Duration::from_secs(60),
                "nothing was made"
            );
            std::thread::sleep(Duration::from_micros(200));
        }
        start.elapsed().as_secs_f64()
    };
    after(None);
    // All others are made too, and it waits.
    std::thread::sleep(Duration::from_secs(10));

    let mut table = Table::new(&["save", "median, ms", "90 of 100, ms"]);
    for (what, file, from) in [
        (
            "one pose of the list",
            "poses/deckhand.toml",
            "move = { root = [-40, 0]",
        ),
        (
            "a pivot, which all poses show",
            "rigs/deckhand/three_quarter.toml",
            "[part]\n",
        ),
    ] {
        let path = work.path().join(file);
        let text = std::fs::read_to_string(&path).expect("it is there");
        let mut times = Vec::new();
        for save in 0..saves {
            let to = if file.starts_with("poses") {
                format!("move = {{ root = [-{}, 0]", 41 + save)
            } else {
                format!("{from}speck = {{ parent = \"torso\", pivot = [{save}, 1] }}\n")
            };
            let new = text.replacen(from, &to, 1);
            assert_ne!(new, text);
            let old = when();
            std::fs::write(&path, new).expect("it is saved");
            times.push(after(old));
            std::thread::sleep(Duration::from_millis(400));
        }
        times.sort_by(f64::total_cmp);
        let ms = |share: usize| short(times[(times.len() - 1) * share / 100] * 1000.0);
        table.row([what.to_owned(), ms(50), ms(90)]);
        std::fs::write(&path, &text).expect("it is saved");
        std::thread::sleep(Duration::from_secs(3));
    }
    table.print("From a save to the picture, --watch");
}
