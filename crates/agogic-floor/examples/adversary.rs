//! Boosted trees against the observers of all sights: `cargo run --release -p agogic-floor --example adversary --
//! [TYPISTS [SESSIONS [REHEARSAL]]]`.
//!
//! The volunteers type the built-in text with 8 shortcuts per 1000 keys. Trees learn each typist from SESSIONS sessions and
//! are judged on as many fresh ones.

use agogic_floor::{Sight, Stage};
use agogic_typist::{Population, Typist};

#[path = "../adversary/study.rs"]
mod study;
#[path = "../adversary/trees.rs"]
mod trees;
#[path = "../../../tests/shared/typing_task.rs"]
mod typing_task;

use study::{COSTS, Features, Judged, Size};
use typing_task::TypingTask;

const SEED: u64 = 816;

fn main() {
    let count = |at: usize, default: u64| std::env::args().nth(at).map_or(Ok(default), |arg| arg.parse());
    let (Ok(typists), Ok(sessions), Ok(rehearsal)) = (count(1, 3), count(2, 12), count(3, 20_000)) else {
        eprintln!("usage: adversary [TYPISTS [SESSIONS [REHEARSAL]]], three whole numbers");
        std::process::exit(2);
    };
    let TypingTask { performer, plan, workload } = TypingTask::new();
    let rehearsal = rehearsal as usize;
    let stage = Stage { performer: &performer, plan: &plan, workload: &workload, seed: SEED, rehearsal };
    let size = Size { sessions: [sessions, sessions], keys: plan.steps().len(), rounds: 150 };
    let mut judged = Judged::default();
    for number in 0..typists {
        judged.add(&stage, &Typist::draw(&Population::volunteers(), SEED, number), size);
    }
    println!(
        "{typists} typists, {sessions} sessions of {} keys to learn from and as many fresh ones, rehearsals of {rehearsal}",
        size.keys
    );
    println!(
        "loss per 1000 presses: of the observers, and of trees above them with its Monte Carlo error over fresh sessions\n"
    );
    for (at, cost) in COSTS.into_iter().enumerate() {
        println!("a false hold costs {cost}, a missed one 1");
        for sight in Sight::ALL {
            println!("  observer of {}: {:.3}", sight.name(), judged.of_observer(sight, at));
            for features in Features::ALL {
                let above = judged.above(features, sight, at);
                println!(
                    "    trees shown {:<14} {:+.3} (SE {:.3}), {:+.1} errors",
                    format!("{features:?}"),
                    above.loss,
                    above.error,
                    above.standing()
                );
            }
        }
    }
}
