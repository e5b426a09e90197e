//! The benchmark: `cargo bench`, or `cargo bench -- TABLE...` for some of its tables. Everything
//! that a table compares is measured in the same run; times are medians.
//!
//! `--full` takes the long pose lists that the memory limits are promised for, and more rounds.

mod area;
mod check;
mod clock;
mod compositing;
mod draft;
mod fit;
mod generated;
mod job;
mod memory;
mod night;
mod png;
mod pose;
mod profile;
mod rivals;
mod show;
mod table;
mod threads;
mod watch;

#[path = "../support/shapes.rs"]
mod shapes;
#[path = "../support/mod.rs"]
mod support;

/// Names of the tables, in the order they are printed.
const TABLES: [&str; 12] = [
    "compositing",
    "job",
    "threads",
    "area",
    "memory",
    "png",
    "night",
    "check",
    "fit",
    "watch",
    "pose",
    "draft",
];

fn main() {
    let mut args: Vec<String> = std::env::args().skip(1).collect();
    // `cargo test` runs benches' main without `--bench`: nothing to measure then.
    if !args.iter().any(|a| a == "--bench") {
        return;
    }
    args.retain(|a| a != "--bench");
    if args.first().is_some_and(|a| a == "profile") {
        profile::run(&args[1..]);
        return;
    }
    if args.first().is_some_and(|a| a == "picture") {
        job::draw_one(&args[1..]);
        return;
    }
    let full = args.iter().any(|a| a == "--full");
    args.retain(|a| a != "--full");
    if let Some(wrong) = args.iter().find(|a| !TABLES.contains(&a.as_str())) {
        eprintln!(
            "no table is called {wrong}; there are {}",
            TABLES.join(", ")
        );
        std::process::exit(2);
    }
    let rounds = |short: usize, long: usize| if full { long } else { short };
    for table in TABLES {
        if !args.is_empty() && !args.iter().any(|a| a == table) {
            continue;
        }
        match table {
            "compositing" => compositing::run(),
            "job" => job::run(rounds(1, 3)),
            "threads" => threads::run(rounds(5, 9)),
            "area" => area::run(rounds(5, 9)),
            "memory" => memory::run(full),
            "night" => night::run(full),
            "check" => check::run(rounds(3, 9)),
            "fit" => fit::run(rounds(3, 9)),
            "watch" => watch::run(rounds(21, 101)),
            "pose" => pose::run(),
            "draft" => draft::run(rounds(3, 9)),
            _ => png::run(rounds(1, 3)),
        }
    }
}
