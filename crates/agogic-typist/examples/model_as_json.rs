//! The typist model as numbers, for an implementation in another language:
//! `cargo run --release -p agogic-typist --example model_as_json -- TYPISTS SEED TEXT > model.json`.
//!
//! Prints the traits of the typists, the constants, the tables of the board and the text as steps.

use agogic_keys::{Assignment, Board, Code, Modifier, TextPlan, Unsupported};
use agogic_typist::{CONSTANTS, Movement, Population, TRAITS, Typist};
use serde_json::json;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut next = |what: &str| arguments.next().unwrap_or_else(|| panic!("the argument {what} is missing"));
    let typists: u64 = next("TYPISTS").parse().expect("a whole number");
    let seed: u64 = next("SEED").parse().expect("a whole number");
    let text = std::fs::read_to_string(next("TEXT")).expect("a text file");
    let board = Board::row_staggered();
    let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
    let assignment = Assignment::resting(&board, order);
    let plan = TextPlan::new(&text, &board, &assignment, Unsupported::Refuse).expect("a text that can be typed");
    let movement = Movement::new(&board);
    let population = Population::volunteers();
    let codes: Vec<Code> = Code::all().collect();
    let pairs = |of: &dyn Fn(Code, Code) -> f64| -> Vec<Vec<f64>> {
        codes.iter().map(|&from| codes.iter().map(|&to| of(from, to)).collect()).collect()
    };
    let each = (0..typists).map(|number| {
        let typist = Typist::draw(&population, seed, number);
        TRAITS.iter().map(|info| typist.get(info.id)).collect::<Vec<_>>()
    });
    let steps = plan.steps().iter().map(|step| {
        json!([
            step.code.index(),
            step.holder.map(Code::index),
            step.word_start,
            step.place,
            step.length,
            step.run.is_some()
        ])
    });
    let model = json!({
        "traits": TRAITS.iter().map(|info| info.name).collect::<Vec<_>>(),
        "typists": each.collect::<Vec<_>>(),
        "constants": CONSTANTS
            .iter()
            .map(|info| (info.name.to_owned(), json!(population.constant(info.id))))
            .collect::<serde_json::Map<_, _>>(),
        "dwell_family": format!("{:?}", population.dwell_family()),
        "backspace": Code::BACKSPACE.index(),
        "digits": codes.iter().map(|&code| movement.digit(code)).collect::<Vec<_>>(),
        "hands": codes.iter().map(|&code| format!("{:?}", movement.hand(code))).collect::<Vec<_>>(),
        "dual": codes.iter().map(|&code| assignment.modifier(code).is_some()).collect::<Vec<_>>(),
        "classes": pairs(&|from, to| f64::from(movement.class(from, to) as u8)),
        "rarity": pairs(&|from, to| movement.rarity(from, to)),
        "near": codes
            .iter()
            .map(|&code| movement.near(code).iter().map(|near| near.index()).collect::<Vec<_>>())
            .collect::<Vec<_>>(),
        "steps": steps.collect::<Vec<_>>(),
    });
    println!("{model}");
}
