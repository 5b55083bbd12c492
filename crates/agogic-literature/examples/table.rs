//! Prints the table of the README and the file on people, or with `--write` puts both there:
//! `cargo run --release -p agogic-literature --example table -- --write`.

use std::{env, error::Error, fs};

use agogic_literature::{CheckPlan, check, markdown, people_markdown};

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
const PEOPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/PEOPLE.md");
const BEGIN: &str = "<!-- begin table -->\n";
const END: &str = "<!-- end table -->";

fn main() -> Result<(), Box<dyn Error>> {
    let text = include_str!("../../../data-synthetic/texts/tide-station.txt");
    let comparisons = check(&CheckPlan::new(text))?;
    let (table, people) = (markdown(&comparisons), people_markdown(&comparisons));
    if env::args().nth(1).as_deref() != Some("--write") {
        print!("{table}\n{people}");
        return Ok(());
    }
    let head = "# People and simulated people\n\nWritten by `cargo run --release -p agogic-literature --example table -- --write`; what \
                is compared and where the people come from stands in `experiments/real-people`.\n\n";
    fs::write(PEOPLE, format!("{head}{people}"))?;
    let readme = fs::read_to_string(README)?;
    let (before, rest) = readme.split_once(BEGIN).ok_or("the README has no place for the table")?;
    let (_, after) = rest.split_once(END).ok_or("the place for the table in the README has no end")?;
    fs::write(README, format!("{before}{BEGIN}{table}{END}{after}"))?;
    Ok(())
}
