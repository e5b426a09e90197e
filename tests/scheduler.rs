//! A night as a job array of a real scheduler, Slurm with two nodes, which tests/support/setup.sh
//! installs. It takes a minute and a half, most of it the scheduler's own waiting, and starts as root only.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::nights::{assert_same, output};
use tempfile::TempDir;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn layfig() -> &'static str {
    env!("CARGO_BIN_EXE_layfig")
}

fn alone(out: &Path) {
    output(
        Command::new(layfig())
            .current_dir(root())
            .args([
                "night",
                "rigs/cast.toml",
                "--label",
                "x",
                "--height",
                "200",
                "--member",
                "ship_dog,mooring_bot",
                "--make",
                "pictures,sheets",
                "--quiet",
                "--out",
            ])
            .arg(out),
    );
}

/// The processes that started this one, the nearest last, up to the scheduler's own for the task.
fn ancestors(id: u32) -> Vec<u32> {
    let mut found = Vec::new();
    let mut at = id;
    loop {
        let status = std::fs::read_to_string(format!("/proc/{at}/status")).unwrap_or_default();
        let parent = status.lines().find_map(|l| l.strip_prefix("PPid:"));
        let Some(parent) = parent.and_then(|p| p.trim().parse::<u32>().ok()) else {
            return Vec::new();
        };
        let name = std::fs::read_to_string(format!("/proc/{parent}/comm")).unwrap_or_default();
        found.insert(0, parent);
        if name.starts_with("slurmstepd") {
            return found;
        }
        if parent <= 1 {
            return Vec::new();
        }
        at = parent;
    }
}

/// A scheduler that ends with the test, however it ends.
struct Slurm {
    dir: TempDir,
}

impl Slurm {
    fn start() -> Self {
        for program in [
            "munged",
            "slurmctld",
            "slurmd",
            "sbatch",
            "squeue",
            "scontrol",
        ] {
            let found = Command::new("sh")
                .args(["-c", &format!("command -v {program}")])
                .output();
            assert!(
                found.unwrap().status.success(),
                "there is no {program}: tests/support/setup.sh installs Slurm"
            );
        }
        let id = output(Command::new("id").arg("-u"));
        assert_eq!(
            id.trim(),
            "0",
            "the scheduler starts as root only; run this test as root"
        );
        let dir = tempfile::tempdir().unwrap();
        let slurm = Self { dir };
        let script = root().join("tests/support/slurm/start.sh");
        let started = Command::new("bash")
            .arg(script)
            .arg(slurm.dir.path())
            .status();
        assert!(
            started.unwrap().success(),
            "Slurm is here and does not start; above is why, and in its own words:\n{}",
            slurm.logs()
        );
        slurm
    }

    fn command(&self, name: &str) -> Command {
        let mut command = Command::new("timeout");
        command
            .args(["30", name])
            .current_dir(root())
            .env("SLURM_CONF", self.dir.path().join("slurm.conf"));
        command
    }

    fn submit(&self, script: &str, args: &[String], out: &Path) -> String {
        let log = self.dir.path().join("log/%x-%A-%a.txt");
        let mut sbatch = self.command("sbatch");
        sbatch
            .args(["--parsable", "--export"])
            .arg(format!(
                "ALL,CAST=rigs/cast.toml,OUT={},LAYFIG={},NIGHT=--label x --height 200 --member ship_dog --member mooring_bot --make pictures --make sheets",
                out.display(),
                layfig()
            ))
            .arg("--output")
            .arg(log)
            .args(args)
            .arg(format!("tests/support/slurm/{script}"));
        output(&mut sbatch).trim().to_owned()
    }

    /// `element state node restarts` of every element of a job.
    fn elements(&self, job: &str) -> Vec<(u32, String, String)> {
        let mut squeue = self.command("squeue");
        squeue.args(["-h", "-r", "-t", "all", "-o", "%K %T %N", "-j", job]);
        let text = output(&mut squeue);
        let lines = text.lines().map(|line| {
            let mut words = line.split_whitespace().map(str::to_owned);
            let element = words.next().unwrap().parse().unwrap_or(0);
            let state = words.next().unwrap();
            (element, state, words.next().unwrap_or_default())
        });
        lines.collect()
    }

    fn wait<T>(&self, what: &str, limit: u64, mut found: impl FnMut() -> Option<T>) -> T {
        let started = Instant::now();
        loop {
            if let Some(found) = found() {
                return found;
            }
            assert!(
                started.elapsed() < Duration::from_secs(limit),
                "{what}\n{}",
                self.logs()
            );
            std::thread::sleep(Duration::from_millis(200));
        }
    }

    fn logs(&self) -> String {
        let mut all = String::new();
        let log = std::fs::read_dir(self.dir.path().join("log"));
        for entry in log.into_iter().flatten().map(Result::unwrap) {
            let text = std::fs::read_to_string(entry.path()).unwrap_or_default();
            let lines: Vec<&str> = text.lines().collect();
            all += &format!("== {}\n", entry.path().display());
            all += &lines[lines.len().saturating_sub(8)..].join("\n");
            all.push('\n');
        }
        all
    }

    /// The process ids of the program on one shard.
    fn processes(&self, out: &Path, shard: &str) -> Vec<u32> {
        let entries = std::fs::read_dir("/proc").unwrap().flatten();
        let ids = entries.filter_map(|entry| entry.file_name().to_string_lossy().parse().ok());
        ids.filter(|id: &u32| {
            let line = std::fs::read(format!("/proc/{id}/cmdline")).unwrap_or_default();
            let words: Vec<&[u8]> = line.split(|&b| b == 0).collect();
            words.first() == Some(&layfig().as_bytes())
                && words.contains(&shard.as_bytes())
                && words.contains(&out.to_string_lossy().as_bytes())
        })
        .collect()
    }

    fn kill(&self, id: u32) {
        let _ = Command::new("kill").args(["-9", &id.to_string()]).status();
    }
}

impl Drop for Slurm {
    fn drop(&mut self) {
        let script = root().join("tests/support/slurm/stop.sh");
        let _ = Command::new("bash")
            .arg(script)
            .arg(self.dir.path())
            .status();
    }
}

#[test]
fn a_job_array_survives_a_killed_task_and_a_lost_node() {
    let work = tempfile::tempdir().unwrap();
    let (one, shared) = (work.path().join("one"), work.path().join("shared"));
    alone(&one);
    let slurm = Slurm::start();
    let job = slurm.submit("night.sbatch", &["--array=1-6".into()], &shared);
    let after = [format!("--dependency=afterany:{job}")];
    let merge = slurm.submit("merge.sbatch", &after, &shared);
    // A task is killed in its work and put back into the queue.
    let killed = slurm.wait("an element runs", 60, || {
        let element = slurm
            .elements(&job)
            .into_iter()
            .find(|e| e.1 == "RUNNING" && e.2 == "n1")?;
        let id = *slurm
            .processes(&shared, &format!("{}/6", element.0))
            .first()?;
        slurm.kill(id);
        Some(element.0)
    });
    output(
        slurm
            .command("scontrol")
            .args(["requeue", &format!("{job}_{killed}")]),
    );
    // A node is lost with what runs on it: its daemon and its task go at once.
    let lost = slurm.wait("an element runs on the other node", 60, || {
        let element = slurm
            .elements(&job)
            .into_iter()
            .find(|e| e.1 == "RUNNING" && e.2 == "n2")?;
        let id = *slurm
            .processes(&shared, &format!("{}/6", element.0))
            .first()?;
        let daemon = std::fs::read_to_string(slurm.dir.path().join("run/slurmd-n2.pid")).ok()?;
        slurm.kill(daemon.trim().parse().ok()?);
        // What watches over the task goes first, or it would report the task as failed.
        for id in ancestors(id) {
            slurm.kill(id);
        }
        slurm.kill(id);
        Some(element.0)
    });
    assert_ne!(killed, lost);
    slurm.wait("the merge ends", 400, || {
        let state = slurm.elements(&merge).first()?.1.clone();
        assert!(
            !["FAILED", "CANCELLED", "NODE_FAIL"].contains(&state.as_str()),
            "{}",
            slurm.logs()
        );
        (state == "COMPLETED").then_some(())
    });
    assert!(
        slurm.elements(&job).iter().all(|e| e.1 == "COMPLETED"),
        "{:?}",
        slurm.elements(&job)
    );
    assert_same(&one, &shared);
}
