//! What the README shows is what the program does: its pictures are those that its own command makes, byte for byte.

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).expect("the README")
}

/// Lines of the README that draw into the gallery, without `cargo run --release --` or `layfig`.
fn commands() -> Vec<Vec<String>> {
    let text = readme();
    let lines = text.lines().filter(|line| line.contains("-o out/gallery"));
    lines
        .map(|line| {
            let line = line.trim_start_matches("layfig ");
            line.split_whitespace().map(str::to_owned).collect()
        })
        .collect()
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(&at).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                all.push(path.strip_prefix(folder).expect("within").to_path_buf());
            }
        }
    }
    all.sort();
    all
}

#[test]
fn the_gallery_is_what_its_commands_make() {
    let made = tempfile::tempdir().expect("a folder");
    let commands = commands();
    assert!(
        !commands.is_empty(),
        "the README has no command of the gallery"
    );
    for mut line in commands {
        let at = line.iter().position(|word| word == "out/gallery");
        line[at.expect("the folder")] = made.path().to_string_lossy().into_owned();
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        let done = command.current_dir(root()).args(&line).output();
        let done = done.expect("the program starts");
        let told = String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success(), "{line:?}: {told}");
    }
    let gallery = root().join("out/gallery");
    assert_eq!(files(&gallery), files(made.path()));
    for file in files(&gallery) {
        let [kept, made] = [gallery.as_path(), made.path()].map(|at| std::fs::read(at.join(&file)));
        let same = kept.expect("kept") == made.expect("made");
        assert!(same, "{} is another by now", file.display());
    }
}

#[test]
fn the_readme_is_short_and_its_pictures_are_there() {
    let text = readme();
    assert!(text.lines().count() < 250, "{} lines", text.lines().count());
    let mut shown = 0;
    for (at, line) in text.lines().enumerate() {
        let Some((_, after)) = line.split_once("](out/") else {
            continue;
        };
        let file = after.split(')').next().expect("an end");
        assert!(root().join("out").join(file).is_file(), "{file}");
        assert!(at < 40, "{file} is not in the first screen");
        shown += 1;
    }
    assert!(shown > 0);
}

/// The tutorial, followed word by word in an empty folder.
#[test]
fn the_first_rig_is_made_as_the_readme_says() {
    let text = readme();
    let (_, section) = text.split_once("## First rig in ten minutes").expect("it");
    let (section, _) = section.split_once("\n## ").expect("its end");
    let folder = tempfile::tempdir().expect("a folder");
    let start = "mkdir first && cp rigs/cook.svg first && layfig draft first/cook.svg";
    assert!(section.contains(&format!("\n{start}\n")), "{section}");
    std::fs::create_dir(folder.path().join("first")).expect("a folder");
    std::fs::copy(
        root().join("rigs/cook.svg"),
        folder.path().join("first/cook.svg"),
    )
    .expect("a copy");
    let layfig = |line: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        let done = command
            .current_dir(folder.path())
            .args(line.split(' '))
            .output();
        let done = done.expect("the program starts");
        let told = [done.stdout, done.stderr]
            .map(|b| String::from_utf8_lossy(&b).into_owned())
            .concat();
        (done.status.code(), told)
    };
    let (code, told) = layfig("draft first/cook.svg");
    assert_eq!(code, Some(0), "{told}");
    // The lines that the reader is asked to write.
    let written: Vec<&str> = section
        .split('`')
        .filter(|s| s.starts_with("[pose.") || s.starts_with("turn = "))
        .collect();
    assert_eq!(written.len(), 2, "{section}");
    let poses = folder.path().join("first/poses.toml");
    let all = std::fs::read_to_string(&poses).expect("the list") + &written.join("\n") + "\n";
    std::fs::write(&poses, all).expect("the list");
    let (code, told) = layfig("sheet first");
    assert_eq!(code, Some(0), "{told}");
    for made in ["out/first/draft.png", "out/first/poses.sheet.png"] {
        assert!(
            section.contains(made) && folder.path().join(made).is_file(),
            "{made}"
        );
    }
    let (code, told) = layfig("draft first/cook.svg --update");
    assert!(code == Some(0) && told.contains("nothing is new"), "{told}");
    let (code, told) = layfig("check first");
    assert_eq!(code, Some(0), "{told}");
}
