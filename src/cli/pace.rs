//! How fast a run is, and when it will be done.

use std::time::Duration;

/// Rate and time left. Units differ by far in what they take: the time left follows from what was
/// guessed of each, measured by what those that are done took.
pub fn pace(done: usize, (guessed, all): (f64, f64), since: Duration) -> String {
    let seconds = since.as_secs_f64();
    if done == 0 || seconds <= 0.0 || guessed <= 0.0 {
        return "starting".to_owned();
    }
    let rate = done as f64 / seconds;
    let rate = if rate >= 10.0 {
        format!("{rate:.0}")
    } else {
        format!("{rate:.1}")
    };
    let left = ((all - guessed) / guessed * seconds).max(0.0).ceil() as u64;
    format!("{rate} a second, {} left", spoken(left))
}

/// A time in seconds as people say it.
pub fn spoken(seconds: u64) -> String {
    match seconds {
        0..60 => format!("{seconds} s"),
        60..3600 => format!("{} min {} s", seconds / 60, seconds % 60),
        _ => format!("{} h {} min", seconds / 3600, seconds / 60 % 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_follows_from_the_work_left_not_from_the_count() {
        let ten = Duration::from_secs(10);
        assert_eq!(pace(0, (0.0, 5.0), ten), "starting");
        // One heavy unit of two hundred, and it was half of the work.
        assert_eq!(pace(1, (50.0, 100.0), ten), "0.1 a second, 10 s left");
        assert_eq!(pace(400, (400.0, 401.0), ten), "40 a second, 1 s left");
    }

    #[test]
    fn times_are_spoken() {
        assert_eq!(spoken(59), "59 s");
        assert_eq!(spoken(61), "1 min 1 s");
        assert_eq!(spoken(7260), "2 h 1 min");
    }
}
