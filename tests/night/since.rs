//! `--since` a git revision of the inputs, and programs that draw differently.

use std::process::Command;

use super::show::Show;

#[expect(dead_code, reason = "its main is for cargo")]
#[path = "../../src/sources.rs"]
mod build;

fn git(show: &Show, args: &[&str]) {
    let mut git = Command::new("git");
    git.current_dir(show.dir.path())
        .args(["-c", "user.name=Crew", "-c", "user.email=crew@example.org"])
        .args(["-c", "commit.gpgsign=false"])
        .args(args);
    let output = git.output().expect("git is there");
    assert!(output.status.success(), "{args:?}: {output:?}");
}

#[test]
fn what_changed_since_a_revision_of_the_inputs_is_taken() {
    let show = Show::new();
    let out = show.run("night cast.toml --since HEAD", 3);
    assert!(out.contains("git knows no revisions of it"), "{out}");
    git(&show, &["init", "--quiet"]);
    show.run("approve cast.toml --all", 0);
    git(&show, &["add", "rigs", "poses", "cast.toml"]);
    git(&show, &["commit", "--quiet", "-m", "the crew"]);
    git(&show, &["tag", "drawn"]);
    assert!(show.plan("--since HEAD").is_empty());

    show.edit("rigs/mate/front.svg", "M60 70h9v15h-9z", "M60 70h9v16h-9z");
    let light = [
        "check mate",
        "comparison mate",
        "picture mate/actions/light",
        "sheet mate charts",
        "sheet mate/actions overlays",
        "sheet mate/actions poses",
    ];
    assert_eq!(show.plan("--since HEAD"), light);
    git(&show, &["commit", "--quiet", "-am", "a longer lamp"]);
    assert!(show.plan("--since HEAD").is_empty());
    assert_eq!(show.plan("--since drawn"), light);
    assert_eq!(show.plan("--since HEAD~1"), light);
    // The repository is as it was: what is in work is neither lost nor taken in.
    show.edit("poses/actions.toml", "arm = -70", "arm = -71");
    show.run("night cast.toml --since drawn", 1);
    assert!(show.path("out/night/mate/actions/light.png").is_file());
    assert!(show.path("out/night/cook/actions/haul.png").is_file());
    assert!(!show.path("out/night/cook/actions/rest.png").exists());
    let status = Command::new("git")
        .current_dir(show.dir.path())
        .args(["status", "--porcelain", "--untracked-files=no"])
        .output()
        .unwrap();
    assert_eq!(
        String::from_utf8(status.stdout).unwrap(),
        " M poses/actions.toml\n"
    );

    for wrong in ["nobody", "--help", "HEAD:poses"] {
        let mut command = show.command("night cast.toml --dry-run");
        let output = command.arg(format!("--since={wrong}")).output().unwrap();
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(3), "{told}");
        assert!(told.contains("git has no such revision"), "{told}");
    }
    // A name of the history goes before one of git.
    show.run("night cast.toml --label drawn", 1);
    assert!(show.plan("--since drawn").is_empty());
}

#[test]
fn without_git_only_the_history_is_asked() {
    let show = Show::new();
    show.run("night cast.toml --label mon", 0);
    let output = show
        .command("night cast.toml --since HEAD")
        .env("PATH", show.dir.path())
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(3), "{told}");
    let words: Vec<&str> = told.split_whitespace().collect();
    assert!(words.join(" ").contains("git is not installed"), "{told}");
    let output = show
        .command("night cast.toml --since mon")
        .env("PATH", show.dir.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn a_program_from_other_sources_is_another_program() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let own = format!(
        "{}+{:016x}",
        env!("CARGO_PKG_VERSION"),
        build::sources(root)
    );
    assert_eq!(layfig::compare::ENGINE, own);
    let tree = tempfile::tempdir().unwrap();
    let write = |path: &str, text: &str| {
        let path = tree.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("Cargo.lock", "png 1");
    write("src/draw/fill.rs", "a\nb");
    write("src/cli/show.rs", "c");
    let first = build::sources(tree.path());
    write("src/draw/fill.rs", "a\r\nb");
    write("src/cli/show.rs", "d");
    assert_eq!(build::sources(tree.path()), first);
    for (path, text) in [
        ("src/draw/fill.rs", "a\nc"),
        ("Cargo.lock", "png 2"),
        ("src/draw/more.rs", ""),
    ] {
        let before = build::sources(tree.path());
        write(path, text);
        assert_ne!(build::sources(tree.path()), before, "{path}");
    }
}
