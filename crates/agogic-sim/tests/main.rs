//! Specs, shard files and block files changed at random are read or refused, and nothing panics. The example
//! `mutate` does the same for as long as it is told; `tests/fuzz/` has the same targets for cargo-fuzz.

mod mutate;

#[test]
fn changed_inputs_are_read_or_refused() {
    let seeds = mutate::Seeds::new();
    for round in 0..600 {
        mutate::round(&seeds, round);
    }
}
