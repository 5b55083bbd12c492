//! Fits `volunteers` to the calibration rows and prints the outcome. With `--write` it also puts the values into
//! `crates/agogic-typist/src/calibrated.rs` and the outcome into `data/calibration.json` and `CALIBRATION.md`:
//! `cargo run --release -p agogic-literature --example calibrate -- --write`.

use std::{env, error::Error, fs};

use agogic_literature::{
    Calibration, CalibrationPlan, Progress, Shipped, calibrate, calibration_markdown, four_digits, probe,
};

const HERE: &str = env!("CARGO_MANIFEST_DIR");

fn main() -> Result<(), Box<dyn Error>> {
    let text = include_str!("../../../data-synthetic/texts/tide-station.txt");
    let plan = CalibrationPlan::volunteers(text);
    let show = |Progress { evaluations, objective }: Progress| {
        if evaluations % 20 == 0 {
            eprintln!("{evaluations} simulations, objective {objective:.2}");
        }
    };
    let calibration = calibrate(&plan, &show)?;
    print!("{}", calibration_markdown(&calibration));
    if env::args().nth(1).as_deref() == Some("--write") {
        fs::write(format!("{HERE}/../agogic-typist/src/calibrated.rs"), constants(&calibration))?;
        let probe = probe(&plan.population_of(&calibration)?, text);
        record(&Shipped { calibration, probe })?;
    }
    Ok(())
}

fn record(shipped: &Shipped) -> Result<(), Box<dyn Error>> {
    let mut json = serde_json::to_string_pretty(shipped)?;
    json.push('\n');
    fs::write(format!("{HERE}/data/calibration.json"), json)?;
    let head = "# The calibration behind `volunteers`\n\nWritten by `cargo run --release -p agogic-literature --example \
                calibrate -- --write`.\n\n";
    fs::write(format!("{HERE}/CALIBRATION.md"), format!("{head}{}", calibration_markdown(&shipped.calibration)))?;
    Ok(())
}

/// The values as Rust constants, named as in the register.
fn constants(calibration: &Calibration) -> String {
    let mut out = String::from(
        "//! Values of `volunteers` fitted to published rows. Written by a program, not by hand:\n\
         //! `cargo run --release -p agogic-literature --example calibrate -- --write`.\n\n",
    );
    for p in &calibration.parameters {
        let words = p.name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
        let name = words.collect::<Vec<_>>().join("_").to_uppercase();
        out.push_str(&format!("pub(crate) const {name}: f64 = {:?};\n", four_digits(p.estimate)));
    }
    out
}
