//! One thread and two, in turn: what two threads give, beside what the machine gives.

use layfig::build::{Framing, PictureStyle, draw_pictures, rehearse, run as run_jobs};
use layfig::draw::draw;

use crate::clock::{middle, timed};
use crate::show::{Show, folder};
use crate::table::{Table, short};

const POSES: usize = 96;

/// Prints the table.
pub fn run(rounds: usize) {
    let show = Show::deckhand(POSES);
    let jobs = show.jobs();
    let work = folder();
    let style = PictureStyle {
        framing: Framing::Size(1024, 1024),
        background: None,
        owners: false,
        grow: false,
    };
    let mut table = Table::new(&["what", "1 thread, ms", "2 threads, ms", "2 threads give"]);
    let mut row = |name: &str, call: &mut dyn FnMut(usize)| {
        call(1);
        call(2);
        let (mut one, mut two, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
        for _ in 0..rounds {
            let (a, ()) = timed(|| call(1));
            let (b, ()) = timed(|| call(2));
            one.push(a);
            two.push(b);
            ratios.push(a / b);
        }
        table.row([
            name.to_owned(),
            short(middle(one)),
            short(middle(two)),
            format!("{:.2}", middle(ratios)),
        ]);
    };
    row("plain arithmetic, nothing shared", &mut |threads| {
        spin(threads, 400_000_000);
    });
    row("solve alone", &mut |threads| {
        for _ in 0..20 {
            let solved = rehearse(&show.puppets, &jobs, threads, false);
            assert!(solved.iter().all(Result::is_ok));
        }
    });
    row("solve and draw", &mut |threads| {
        let drawn = run_jobs(
            &jobs,
            threads,
            |job, scratch| {
                let puppet = &show.puppets[job.model];
                let figure = puppet.figure(job.pose).expect("the pose solves");
                let viewport = style.framing.viewport(puppet.member().canvas);
                draw(&figure, &viewport, None, false, scratch)?;
                Ok(())
            },
            |_| (),
        );
        assert!(drawn.iter().all(Result::is_ok));
    });
    row("render: solve, draw, encode, write", &mut |threads| {
        let drawn = draw_pictures(
            &show.plan,
            &show.puppets,
            &jobs,
            work.path(),
            &style,
            threads,
            |_| (),
        );
        assert!(drawn.iter().all(Result::is_ok));
    });
    table.print(&format!(
        "Threads, {POSES} poses of 1024 px: median of {rounds}, one and two threads in turn"
    ));
}

/// A fixed amount of arithmetic, split among threads.
fn spin(threads: usize, steps: u64) {
    std::thread::scope(|scope| {
        for thread in 0..threads as u64 {
            scope.spawn(move || {
                let mut x = thread + 1;
                for _ in 0..steps / threads as u64 {
                    x ^= x << 13;
                    x ^= x >> 7;
                    x ^= x << 17;
                }
                std::hint::black_box(x);
            });
        }
    });
}
