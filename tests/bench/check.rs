//! `layfig check` on the whole demo cast: every joint of every view through its limits.

use std::time::Instant;

use layfig::cast::PoseList;
use layfig::check::check;

use crate::support::{DEMO, demo};
use crate::table::Table;

/// Prints the table: reading and preparing the rigs is in the time, drawing the findings is not.
pub fn run(rounds: usize) {
    let threads = rayon::current_num_threads();
    let mut table = Table::new(&["member", "views", "joints", "check, s"]);
    let mut sum = 0.0;
    for member in DEMO {
        let mut times = Vec::new();
        let (mut views, mut joints) = (0, 0);
        for _ in 0..rounds {
            let start = Instant::now();
            let staged = demo(member);
            let lists: Vec<&PoseList> = staged.lists.iter().collect();
            views = staged.puppets.len();
            joints = staged
                .puppets
                .iter()
                .map(|puppet| check(puppet, &lists).ranges.len())
                .sum();
            times.push(start.elapsed().as_secs_f64());
        }
        times.sort_by(f64::total_cmp);
        let time = times[times.len() / 2];
        sum += time;
        table.row([
            member.to_owned(),
            views.to_string(),
            joints.to_string(),
            format!("{time:.2}"),
        ]);
    }
    table.row([
        "together".to_owned(),
        String::new(),
        String::new(),
        format!("{sum:.2}"),
    ]);
    table.print(&format!("Check: the demo cast on {threads} threads"));
}
