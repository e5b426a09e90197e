//! What long lists take: the program itself, started on generated pose lists, its peak of resident
//! memory read from the system while it runs.

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::show::{folder, rigs};
use crate::table::{Table, short};

/// Prints the table; the counts that are promised only where `full` asks for them.
pub fn run(full: bool) {
    let mut table = Table::new(&[
        "command", "poses", "threads", "seconds", "peak, MB", "files",
    ]);
    let (renders, sheets): (&[usize], &[usize]) = if full {
        (&[200, 2_000, 20_000], &[200, 1_000, 5_000])
    } else {
        (&[200, 2_000], &[100, 500])
    };
    let pdf = ["--format", "pdf"];
    for (command, counts, more) in [
        ("render", renders, &["--height", "128"]),
        ("sheet", sheets, &["--format", "png"]),
        ("sheet", sheets, &pdf),
    ] {
        for &count in counts {
            let work = folder();
            let list = work.path().join("many.toml");
            std::fs::write(&list, poses(count)).expect("a pose list is written");
            let out = work.path().join("out");
            let mut layfig = Command::new(env!("CARGO_BIN_EXE_layfig"));
            layfig
                .arg(command)
                .arg(rigs().join("deckhand"))
                .arg(&list)
                .arg("--out")
                .arg(&out)
                .args(["--threads", "2", "--quiet", "--progress", "none"]);
            layfig.args(more);
            let (seconds, peak) = watched(&mut layfig);
            let files = count_files(&out);
            if command == "render" {
                assert_eq!(files, count, "a picture for each pose");
            }
            table.row([
                if *more == pdf {
                    format!("layfig {command} (PDF)")
                } else {
                    format!("layfig {command}")
                },
                count.to_string(),
                "2".into(),
                short(seconds),
                peak.map_or_else(|| "not known".into(), |kb| short(kb as f64 / 1024.0)),
                files.to_string(),
            ]);
        }
    }
    table.print("Memory: pictures 128 px high; pages as they come");
}

/// Different poses, as many as asked for.
fn poses(count: usize) -> String {
    let mut out = String::new();
    for i in 0..count {
        let angle = |step: usize, range: usize| (i * step % range) as f64 - range as f64 / 2.0;
        let _ = writeln!(
            out,
            "[pose.p{i}]\nnote = \"number {i}\"\nturn = {{ torso = {}, head = {}, upper_arm_near = {}, forearm_near = {}, upper_arm_far = {}, thigh_near = {} }}",
            angle(7, 30),
            angle(3, 40),
            angle(13, 160),
            angle(11, 200),
            angle(17, 160),
            angle(5, 60),
        );
    }
    out
}

/// Runs a command to its end: seconds, and the peak of its memory in kB where the system tells.
pub fn watched(command: &mut Command) -> (f64, Option<u64>) {
    let started = Instant::now();
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::inherit())
        .spawn()
        .expect("the program starts");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    let end = loop {
        // The system's own high-water mark: only what the last moment adds can be missed.
        if let Some(kb) = high_water(Path::new(&status)) {
            peak = peak.max(Some(kb));
        }
        if let Some(end) = child.try_wait().expect("the program is watched") {
            break end;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    // 1: all was made, and a person must look.
    let made = matches!(end.code(), Some(0 | 1));
    assert!(made, "{command:?} ends with {end}");
    (started.elapsed().as_secs_f64(), peak)
}

fn high_water(status: &Path) -> Option<u64> {
    let text = std::fs::read_to_string(status).ok()?;
    let line = text.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches("kB").trim().parse().ok()
}

fn count_files(folder: &Path) -> usize {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return 0;
    };
    entries
        .flatten()
        .map(|entry| {
            if entry.path().is_dir() {
                count_files(&entry.path())
            } else {
                1
            }
        })
        .sum()
}
