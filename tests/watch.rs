//! `--watch`: what a save changed is made anew, whatever way an editor saves, and problems come and go.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, SystemTime};

use crate::cli::Show;

/// So long something is waited for before it counts as not coming.
const PATIENCE: Duration = Duration::from_secs(60);

/// A command that stays, and what it says.
struct Staying {
    child: Child,
    said: Receiver<String>,
}

impl Staying {
    fn start(show: &Show, line: &str) -> Self {
        let mut command = show.command(line);
        let mut child = command
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (tell, said) = channel();
        let from = BufReader::new(child.stderr.take().unwrap());
        std::thread::spawn(move || {
            from.lines()
                .map_while(Result::ok)
                .try_for_each(|l| tell.send(l))
        });
        Self { child, said }
    }

    /// What it says until it waits again.
    #[track_caller]
    fn until_it_waits(&self) -> Vec<String> {
        let mut all = Vec::new();
        loop {
            let line = self.said.recv_timeout(PATIENCE);
            let line = line.unwrap_or_else(|_| panic!("nothing more after {all:?}"));
            if line.starts_with("watching ") {
                return all;
            }
            all.push(line);
        }
    }
}

impl Drop for Staying {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn when(path: &Path) -> SystemTime {
    std::fs::metadata(path).unwrap().modified().unwrap()
}

#[test]
fn a_save_makes_anew_what_it_changed_and_nothing_else() {
    for how in ["", " --poll"] {
        let show = Show::new();
        let staying = Staying::start(&show, &format!("render rigs/mate --watch -o made{how}"));
        staying.until_it_waits();
        let (haul, wave) = (
            show.path("made/mate/actions/haul.png"),
            show.path("made/mate/actions/wave.png"),
        );
        let before = [&haul, &wave].map(|path| (std::fs::read(path).unwrap(), when(path)));

        // In place, as some editors save; by a new file in its place, as others do.
        let poses = std::fs::read_to_string(show.path("poses/actions.toml")).unwrap();
        let turned = poses.replacen(
            "[pose.haul]\n",
            "[pose.haul]\nmove = { arm = [0, -7] }\n",
            1,
        );
        assert_ne!(turned, poses);
        show.write("poses/actions.toml", &turned);
        staying.until_it_waits();
        assert_ne!(std::fs::read(&haul).unwrap(), before[0].0, "{how}");
        assert_eq!(
            (std::fs::read(&wave).unwrap(), when(&wave)),
            before[1],
            "{how}"
        );

        show.write("poses/.saved~", &poses);
        std::fs::rename(show.path("poses/.saved~"), show.path("poses/actions.toml")).unwrap();
        staying.until_it_waits();
        assert_eq!(std::fs::read(&haul).unwrap(), before[0].0, "{how}");
        assert_eq!(when(&wave), before[1].1, "{how}");
    }
}

#[test]
fn problems_are_told_and_go_when_they_are_mended() {
    let show = Show::new();
    let staying = Staying::start(&show, "lint rigs/mate --watch --messages short");
    let clean = staying.until_it_waits();
    let rig = std::fs::read_to_string(show.path("rigs/mate/rig.toml")).unwrap();
    show.write(
        "rigs/mate/rig.toml",
        &format!("{rig}\n[part.hat]\nparent = \"hed\"\n"),
    );
    let told = staying.until_it_waits();
    assert_eq!(told[0], "changed: rig.toml");
    assert!(told.iter().any(|line| line.contains("hed")), "{told:?}");
    show.write("rigs/mate/rig.toml", &rig);
    let told = staying.until_it_waits();
    assert_eq!(told[1..], clean);
}

#[test]
fn of_sheets_and_checks_only_what_a_save_changed_is_made_anew() {
    let show = Show::new();
    let staying = Staying::start(&show, "sheet cast.toml --format both --watch -o made");
    staying.until_it_waits();
    let all = || -> std::collections::BTreeMap<String, SystemTime> {
        let names = show.names("made").into_iter();
        let names = names.filter(|name| name.ends_with("png") || name.ends_with("pdf"));
        names
            .map(|name| (name.clone(), when(&show.path(&name))))
            .collect()
    };
    let before = all();
    // A limit is no part of a sheet; a call-out is of none of these kinds.
    let rig = std::fs::read_to_string(show.path("rigs/cook/rig.toml")).unwrap();
    let dark = rig.replacen("[character]\n", "[character]\nheads = 3\n", 1);
    assert_ne!(dark, rig);
    show.write("rigs/cook/rig.toml", &dark);
    staying.until_it_waits();
    let after = all();
    assert_eq!(before.len(), after.len());
    let made = |member: &str| {
        let own = before.keys().filter(|name| name.starts_with(member));
        let new = own.clone().filter(|name| before[*name] != after[*name]);
        (own.count(), new.count())
    };
    let (mate, cook) = (made("made/mate"), made("made/cook"));
    assert!(mate.0 > 1 && cook.0 > 1, "{before:?}");
    assert_eq!(mate.1, 0, "{before:?}\n{after:?}");

    let show = Show::new();
    let staying = Staying::start(
        &show,
        "check cast.toml --watch -o made --messages short --progress none",
    );
    let first = staying.until_it_waits();
    let [mate, cook] =
        ["mate", "cook"].map(|member| show.path(&format!("made/{member}/check/findings.json")));
    let before = [when(&mate), when(&cook)];
    let rig = std::fs::read_to_string(show.path("rigs/mate/rig.toml")).unwrap();
    show.write("rigs/mate/rig.toml", &format!("{rig}\n# a word\n"));
    let told = staying.until_it_waits();
    assert_eq!(told[0], "changed: rig.toml");
    // What was found in the other is told again, not looked for again.
    assert_eq!(told.len(), first.len() + 1, "{told:?}\n{first:?}");
    assert_eq!(when(&cook), before[1]);
    assert_ne!(when(&mate), before[0]);
}

#[test]
fn sheets_and_checks_stay_too() {
    for line in ["sheet rigs/mate --kind pose", "check rigs/mate"] {
        let show = Show::new();
        let staying = Staying::start(&show, &format!("{line} --watch -o made"));
        staying.until_it_waits();
        let made = show.names("made");
        assert!(!made.is_empty());
        std::fs::remove_dir_all(show.path("made")).unwrap();
        let svg = std::fs::read_to_string(show.path("rigs/mate/front.svg")).unwrap();
        show.write("rigs/mate/front.svg", &svg);
        staying.until_it_waits();
        assert_eq!(show.names("made"), made, "{line}");
    }
}
