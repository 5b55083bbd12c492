//! Changes specs, shard files and block files at random for some seconds of CPU time, round by round:
//! `cargo run --release -p agogic-sim --example mutate -- SECONDS [FIRST_ROUND]`. A round that panics is named.

#[path = "../tests/mutate/mod.rs"]
mod mutate;

fn main() {
    let mut arguments = std::env::args().skip(1).map(|text| text.parse::<u64>().expect("a whole number"));
    let seconds = arguments.next().expect("the number of seconds");
    let mut round = arguments.next().unwrap_or(0);
    let seeds = mutate::Seeds::new();
    let start = std::time::Instant::now();
    let first = round;
    while start.elapsed().as_secs() < seconds {
        if std::panic::catch_unwind(|| mutate::round(&seeds, round)).is_err() {
            eprintln!("round {round} panics");
            std::process::exit(1);
        }
        round += 1;
    }
    println!("{} rounds from {first} on, nothing panicked", round - first);
}
