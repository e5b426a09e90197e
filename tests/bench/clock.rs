//! Medians, in milliseconds.

use std::time::Instant;

/// How long a call takes, and what it gives.
pub fn timed<T>(call: impl FnOnce() -> T) -> (f64, T) {
    let started = Instant::now();
    let made = call();
    (started.elapsed().as_secs_f64() * 1e3, made)
}

/// The middle one.
pub fn middle(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Median time of a call over about `budget` milliseconds.
pub fn median(budget: f64, mut call: impl FnMut()) -> f64 {
    call();
    call();
    let started = Instant::now();
    let mut times = Vec::new();
    while times.len() < 7 || started.elapsed().as_secs_f64() * 1e3 < budget {
        times.push(timed(&mut call).0);
        if times.len() >= 2000 {
            break;
        }
    }
    middle(times)
}

/// Median time of each of several calls, taken in turn, so that what disturbs the machine disturbs
/// all of them alike.
pub fn in_turn(rounds: usize, calls: &mut [&mut dyn FnMut()]) -> Vec<f64> {
    let mut times = vec![Vec::new(); calls.len()];
    for round in 0..=rounds {
        for (call, times) in calls.iter_mut().zip(&mut times) {
            let (time, ()) = timed(&mut *call);
            // The first round warms up.
            if round > 0 {
                times.push(time);
            }
        }
    }
    times.into_iter().map(middle).collect()
}
