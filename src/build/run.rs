//! Many jobs on some threads: one stream of events, results in order.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError, mpsc};

use crate::diag::{Place, Problem};
use crate::draw::{DrawError, Scratch};

/// Why one job made nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Failure {
    /// What was asked for makes no sense.
    #[error("{}", .0.message)]
    Input(Problem),
    /// It could not be drawn.
    #[error(transparent)]
    Draw(#[from] DrawError),
    /// It could not be written.
    #[error("cannot write {}: {why}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// The program is at fault.
    #[error("a fault of the program: {0}")]
    Fault(String),
}

impl Failure {
    /// Of a file that could not be written.
    pub fn write(path: impl Into<PathBuf>, why: impl ToString) -> Self {
        Self::Write {
            path: path.into(),
            why: why.to_string(),
        }
    }

    /// True when the person who wrote the input can mend it.
    #[must_use]
    pub fn is_input(&self) -> bool {
        matches!(self, Self::Input(_))
    }

    /// The same of a file below `folder`, told from there.
    #[must_use]
    pub fn below(self, folder: &Path) -> Self {
        match self {
            Self::Write { path, why } => Self::Write {
                path: path.strip_prefix(folder).unwrap_or(&path).to_path_buf(),
                why,
            },
            other => other,
        }
    }

    /// As a problem of the job called `name`.
    #[must_use]
    pub fn problem(&self, name: &str) -> Problem {
        match self {
            Self::Input(problem) => problem.clone(),
            Self::Write { path, why } => Problem::error(
                Place::File(path.clone()),
                format!("cannot write the picture of {name}: {why}"),
            ),
            Self::Draw(_) | Self::Fault(_) => {
                Problem::error(Place::Nowhere, format!("cannot draw {name}: {self}"))
            }
        }
    }
}

/// What happens in a run; `usize` is the job's place in the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// A thread took the job up.
    Started(usize),
    /// The job is made.
    Done(usize),
    /// The job made nothing.
    Failed(usize, Failure),
}

impl Event {
    /// The same of a job with another number.
    #[must_use]
    pub fn of(self, number: impl Fn(usize) -> usize) -> Self {
        match self {
            Self::Started(at) => Self::Started(number(at)),
            Self::Done(at) => Self::Done(number(at)),
            Self::Failed(at, failure) => Self::Failed(number(at), failure),
        }
    }
}

/// Drawing buffers that pass from job to job; never more than jobs at work.
#[derive(Debug, Default)]
pub struct Scratches {
    free: Mutex<Vec<Scratch>>,
}

impl Scratches {
    /// Lends buffers to `work`.
    pub fn lend<T>(&self, work: impl FnOnce(&mut Scratch) -> T) -> T {
        let free = || self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut scratch = free().pop().unwrap_or_default();
        let made = work(&mut scratch);
        free().push(scratch);
        made
    }
}

/// True for one thread on a thread of a pool, which is that one.
fn is_alone(threads: usize) -> bool {
    threads == 1 && rayon::current_thread_index().is_some()
}

/// Runs `work` on threads of its own while `watch` hears of it on this one. On a thread of a pool, one
/// thread is that one: it does the work, with whatever help the pool has to spare, and `watch` hears of it
/// afterwards. Threads that come and go would each keep memory of their own.
///
/// # Panics
///
/// When the system gives no threads.
pub fn with_threads<E: Send, T: Send>(
    threads: usize,
    work: impl FnOnce(&(dyn Fn(E) + Sync)) -> T + Send,
    mut watch: impl FnMut(E),
) -> T {
    if is_alone(threads) {
        let events = Mutex::new(Vec::new());
        let made = work(&|event| {
            let mut events = events.lock().unwrap_or_else(PoisonError::into_inner);
            events.push(event);
        });
        let events = events.into_inner().unwrap_or_else(PoisonError::into_inner);
        events.into_iter().for_each(watch);
        return made;
    }
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("the system gives threads");
    let (sender, receiver) = mpsc::channel();
    std::thread::scope(|scope| {
        let worker = scope.spawn(move || {
            pool.install(|| {
                work(&|event| {
                    // Nobody listens any more only when this thread is going down anyway.
                    let _ = sender.send(event);
                })
            })
        });
        for event in receiver {
            watch(event);
        }
        worker
            .join()
            .unwrap_or_else(|fault| std::panic::resume_unwind(fault))
    })
}

/// Does work on threads of its own, which nobody hears of.
pub fn on_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    with_threads(threads, |_: &(dyn Fn(()) + Sync)| work(), |()| ())
}

/// Does every job on `threads` threads, beginning with the first. Results are in the order of the jobs,
/// whatever the order they were done in. A job that fails, or breaks, stops no other.
pub fn run<J: Sync, T: Send>(
    jobs: &[J],
    threads: usize,
    work: impl Fn(&J, &mut Scratch) -> Result<T, Failure> + Sync,
    watch: impl FnMut(Event),
) -> Vec<Result<T, Failure>> {
    let next = AtomicUsize::new(0);
    let results = Mutex::new(Vec::with_capacity(jobs.len()));
    let alone = is_alone(threads);
    let worker = |send: &(dyn Fn(Event) + Sync)| {
        let mut scratch = Scratch::default();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(job) = jobs.get(at) else { return };
            send(Event::Started(at));
            let made = guarded(|| work(job, &mut scratch));
            send(match &made {
                Ok(_) => Event::Done(at),
                Err(failure) => Event::Failed(at, failure.clone()),
            });
            let mut results = results.lock().unwrap_or_else(PoisonError::into_inner);
            results.push((at, made));
        }
    };
    let all = |send: &(dyn Fn(Event) + Sync)| {
        if alone {
            worker(send);
        } else {
            // Each thread has its own loop, which no other can take up in the middle of a job.
            rayon::broadcast(|_| worker(send));
        }
    };
    with_threads(threads, all, watch);
    let mut results = results.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.sort_unstable_by_key(|(at, _)| *at);
    results.into_iter().map(|(_, made)| made).collect()
}

/// Turns a break in `work` into a failure.
pub fn guarded<T>(work: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    catch_unwind(AssertUnwindSafe(work))
        .unwrap_or_else(|fault| Err(Failure::Fault(words_of(fault.as_ref()))))
}

fn words_of(fault: &(dyn Any + Send)) -> String {
    fault
        .downcast_ref::<&str>()
        .map(|s| (*s).to_owned())
        .or_else(|| fault.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no words".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bad() -> Failure {
        Failure::Fault("odd".into())
    }

    #[test]
    fn results_come_in_the_order_of_the_jobs() {
        let jobs: Vec<usize> = (0..200).collect();
        for threads in [1, 2, 5] {
            let made = run(
                &jobs,
                threads,
                |&n, _| if n % 7 == 3 { Err(bad()) } else { Ok(n * n) },
                |_| (),
            );
            assert_eq!(made.len(), jobs.len());
            for (n, result) in made.into_iter().enumerate() {
                assert_eq!(result, if n % 7 == 3 { Err(bad()) } else { Ok(n * n) });
            }
        }
    }

    #[test]
    fn every_job_is_started_and_then_ended_once() {
        let jobs: Vec<usize> = (0..50).collect();
        let mut seen = [0; 50];
        run(
            &jobs,
            3,
            |&n, _| if n == 4 { Err(bad()) } else { Ok(()) },
            |event| match event {
                Event::Started(n) => {
                    assert_eq!(seen[n], 0);
                    seen[n] = 1;
                }
                Event::Done(n) | Event::Failed(n, _) => {
                    assert_eq!(seen[n], 1);
                    seen[n] = 2;
                    assert_eq!(matches!(event, Event::Failed(..)), n == 4);
                }
            },
        );
        assert!(seen.iter().all(|&s| s == 2));
    }

    #[test]
    fn a_job_that_breaks_stops_no_other() {
        let jobs = [1, 2, 3];
        let made = run(
            &jobs,
            2,
            |&n, _| {
                assert_ne!(n, 2, "two is odd");
                Ok(n)
            },
            |_| (),
        );
        assert_eq!(made[0], Ok(1));
        assert!(matches!(&made[1], Err(Failure::Fault(words)) if words.contains("two is odd")));
        assert_eq!(made[2], Ok(3));
    }
}
