//! What the studies by simulation share.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use agogic_stats::{Interval, Level, Trials, wilson};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// Seed of every study.
pub const SEED: u64 = 20_260_101;

/// The stream of one replicate of one cell.
pub fn stream(cell: usize, replicate: u64) -> ChaCha8Rng {
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    rng.set_stream((cell as u64) << 32 | replicate);
    rng
}

/// `job` of every cell, in order; threads take the next one that is free.
pub fn each<T: Send>(cells: usize, threads: usize, job: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let found: Mutex<Vec<Option<T>>> = Mutex::new((0..cells).map(|_| None).collect());
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..threads.max(1) {
            scope.spawn(|| {
                loop {
                    let cell = next.fetch_add(1, Ordering::Relaxed);
                    if cell >= cells {
                        break;
                    }
                    let row = job(cell);
                    found.lock().expect("no thread panicked")[cell] = Some(row);
                }
            });
        }
    });
    found.into_inner().expect("no thread panicked").into_iter().map(|row| row.expect("every cell was done")).collect()
}

/// A share in percent, with its Wilson interval at 95 % when asked; bold where 5 % lies below the interval.
pub fn error_share(errors: u64, of: u64) -> String {
    let Interval { lo, hi } = wilson(Trials::new(errors, of).expect("a count"), Level::P95);
    let share = format!("{:.1} ({:.1}–{:.1})", 100.0 * errors as f64 / of as f64, 100.0 * lo, 100.0 * hi);
    if lo > 0.05 { format!("**{share}**") } else { share }
}

/// Replicates and threads from the command line.
pub fn size(replicates: u64) -> (u64, usize) {
    let mut args = std::env::args().skip(1);
    let mut number = || args.next().and_then(|arg| arg.parse::<u64>().ok());
    let (replicates, threads) = (number().unwrap_or(replicates), number());
    let cores = || std::thread::available_parallelism().map_or(1, usize::from);
    (replicates, threads.map_or_else(cores, |threads| threads as usize))
}
