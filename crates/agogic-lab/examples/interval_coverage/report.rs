//! The study as Markdown.

use std::fmt::Write as _;

use agogic_stats::{FEWEST_CLUSTERS, FEWEST_INFORMATIVE, Level, Trials, wilson};
use agogic_study::ESTIMANDS;

use crate::families::{Against, Family};
use crate::singles::{CLASSES, Cell, TYPISTS, Tally, What};
use crate::{Pool, SEED};

/// Coverage that counts as held, in percent.
const HELD: std::ops::RangeInclusive<f64> = 93.5..=96.5;

/// Errors of a family that count as held, in percent.
const FAMILY: std::ops::RangeInclusive<f64> = 3.5..=6.5;

/// Numbers of typists for which the intervals are meant.
const MEANT: [usize; 3] = [40, 100, 300];

fn bold(text: String, held: bool) -> String {
    if held { text } else { format!("**{text}**") }
}

fn coverage(tally: &Tally) -> String {
    if tally.given == 0 {
        return "–".to_owned();
    }
    let held = tally.percent()[2];
    // Rounded first, as it is read.
    bold(format!("{held:.1}"), HELD.contains(&((held * 10.0).round() / 10.0)))
}

fn misses(tally: &Tally) -> String {
    let [above, below, _] = tally.percent();
    let (least, most) = (above.min(below), above.max(below));
    bold(format!("{above:.1} / {below:.1}"), most <= 2.0 * least)
}

fn sum<'a>(cells: impl IntoIterator<Item = &'a Tally>) -> Tally {
    cells.into_iter().fold(Tally::default(), |mut sum, tally| {
        sum.join(tally);
        sum
    })
}

fn median(mut values: Vec<u64>) -> u64 {
    values.sort_unstable();
    values.get(values.len() / 2).copied().unwrap_or(0)
}

pub fn markdown(pools: &[Pool], size: [usize; 3], cells: &[Cell], families: &[Family]) -> String {
    let mut out = String::new();
    let names: Vec<&str> = pools.iter().map(|pool| pool.label.as_str()).collect();
    writeln!(
        out,
        "# How often nominal 95 % intervals hold, on the simulator itself\n\nMade by `cargo run --release -p agogic-lab \
         --example interval_coverage`; do not edit by hand.\n\nA pool of {} typists of each population ({}) types under the \
         settings of the main study, seed {SEED}. The rates of the pool are the truth. Studies are typists of the pool, drawn \
         with replacement: {} for each population and number of typists, {} for families. A cell is one estimand of one \
         policy in one population; differences are those that the main study names, with the reference or with the same rule \
         without its guard. Figures are percent of intervals; one cell has a Monte Carlo error of {:.1} at 95. *Above* are \
         intervals that lie above the truth, *below* those that lie below it. *Events* is the median over cells of the typists who \
         have such events, or in whom the two settings differ. *Sure* are intervals without caution for few \
         such typists (below {FEWEST_INFORMATIVE}) or no events. *None or outside* counts estimates without limits, as where all typists agree, or with one outside the range of the quantity. *Before* is what stood here before: Korn–Graubard for proportions, linearised t \
         for the rest. **Bold** is what lies outside {}–{} %, misses of one side more than twice those of the other, or \
         families outside {}–{} %.\n",
        size[0],
        names.join(", "),
        size[1],
        size[2],
        100.0 * (0.95f64 * 0.05 / size[1] as f64).sqrt(),
        HELD.start(),
        HELD.end(),
        FAMILY.start(),
        FAMILY.end(),
    )
    .expect("a string takes all that is written");
    for (what, title) in [(What::Rate, "Rates"), (What::Difference, "Differences")] {
        singles(&mut out, cells, what, title);
    }
    by_events(&mut out, cells);
    by_typists(&mut out, cells);
    of_families(&mut out, families);
    out
}

fn singles(out: &mut String, cells: &[Cell], what: What, title: &str) {
    let head = "| estimand | typists | cells | events | above / below | held | worst cell | sure | share sure | before | \
                worst before | none or outside |\n|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|";
    writeln!(out, "## {title}\n\n{head}").expect("a string takes all that is written");
    for info in ESTIMANDS {
        for typists in MEANT {
            let own: Vec<&Cell> =
                cells.iter().filter(|c| c.what == what && c.info.name == info.name && c.typists == typists).collect();
            if own.is_empty() {
                continue;
            }
            let all = sum(own.iter().map(|cell| &cell.own));
            let (sure, plain) = (sum(own.iter().map(|cell| &cell.sure)), sum(own.iter().map(|cell| &cell.plain)));
            let worst =
                |of: fn(&Cell) -> &Tally| own.iter().map(|cell| of(cell).percent()[2]).fold(f64::INFINITY, f64::min);
            writeln!(
                out,
                "| {} | {typists} | {} | {} | {} | {} | {:.1} | {} | {:.0} | {:.1} | {:.1} | {} |",
                info.name,
                own.len(),
                median(own.iter().map(|cell| cell.informative()).collect()),
                misses(&all),
                coverage(&all),
                worst(|cell| &cell.own),
                coverage(&sure),
                100.0 * sure.given as f64 / all.given.max(1) as f64,
                plain.percent()[2],
                worst(|cell| &cell.plain),
                own.iter().map(|cell| cell.outside).sum::<u64>(),
            )
            .expect("a string takes all that is written");
        }
    }
    out.push('\n');
}

/// All estimands together, by how many typists have events: the limit of a caution.
fn by_events(out: &mut String, cells: &[Cell]) {
    writeln!(
        out,
        "## By typists with events\n\nAll estimands at {} typists or more, by how many typists of the study at hand have such \
         events, or differ. Below {FEWEST_INFORMATIVE} an estimate carries a caution.\n\n| | typists with events | intervals | above / below | \
         held |\n|---|--:|--:|--:|--:|",
        MEANT[0]
    )
    .expect("a string takes all that is written");
    for (what, name) in [(What::Rate, "rates"), (What::Difference, "differences")] {
        let mut from = 0;
        for (class, end) in CLASSES.iter().enumerate() {
            let own = cells.iter().filter(|cell| cell.what == what && cell.typists >= MEANT[0]);
            let all = sum(own.map(|cell| &cell.classes[class]));
            let range = if *end < u64::MAX { format!("{from}–{}", end - 1) } else { format!("from {from}") };
            writeln!(out, "| {name} | {range} | {} | {} | {} |", all.given, misses(&all), coverage(&all))
                .expect("a string takes all that is written");
            from = *end;
        }
    }
    out.push('\n');
}

/// All estimands together, by the size of the study: the limit of the other caution.
fn by_typists(out: &mut String, cells: &[Cell]) {
    writeln!(
        out,
        "## By typists\n\nAll estimands; *sure* as above. Below {FEWEST_CLUSTERS} typists an estimate carries a caution.\n\n\
         | | typists | above / below | held | cells below {} | sure |\n|---|--:|--:|--:|--:|--:|",
        HELD.start()
    )
    .expect("a string takes all that is written");
    for (what, name) in [(What::Rate, "rates"), (What::Difference, "differences")] {
        for typists in TYPISTS {
            let own: Vec<&Cell> = cells.iter().filter(|cell| cell.what == what && cell.typists == typists).collect();
            let (all, sure) = (sum(own.iter().map(|c| &c.own)), sum(own.iter().map(|c| &c.sure)));
            let short = own.iter().filter(|cell| cell.own.percent()[2] < *HELD.start()).count();
            let (held, sure) = (coverage(&all), coverage(&sure));
            writeln!(out, "| {name} | {typists} | {} | {held} | {short} of {} | {sure} |", misses(&all), own.len())
                .expect("a string takes all that is written");
        }
    }
    out.push('\n');
}

fn of_families(out: &mut String, families: &[Family]) {
    writeln!(
        out,
        "## Families\n\nPercent of studies in which at least one of the joint intervals misses the true difference, with a \
         Wilson 95 % interval. *Sure* counts misses of intervals without caution only. *Alone* is what single intervals of 95 % \
         come to. *Narrower* counts joint intervals that do not contain the one of their contrast alone. *Error* is the \
         greatest Monte Carlo error of a critical value, in percent of it.\n\n| estimand | against | typists | population | contrasts | missed | \
         sure | alone | narrower | error |\n|---|---|--:|---|--:|--:|--:|--:|--:|--:|"
    )
    .expect("a string takes all that is written");
    let percent = |count: u64, of: u64| 100.0 * count as f64 / of.max(1) as f64;
    let mut line = |family: &Family, population: &str| {
        let interval = wilson(Trials::new(family.missed, family.studies).expect("a count"), Level::P95);
        let missed = percent(family.missed, family.studies);
        let shown = format!("{missed:.1} ({:.1}–{:.1})", 100.0 * interval.lo, 100.0 * interval.hi);
        let sure = percent(family.sure_missed, family.studies);
        writeln!(
            out,
            "| {} | {} | {} | {population} | {} | {} | {} | {:.1} | {} | {:.2} |",
            family.estimand,
            if family.against == Against::Reference { "reference" } else { "named" },
            family.typists,
            family.contrasts,
            bold(shown, FAMILY.contains(&((missed * 10.0).round() / 10.0))),
            bold(format!("{sure:.1}"), sure <= *FAMILY.end()),
            percent(family.single_missed, family.studies),
            family.narrower,
            100.0 * family.error,
        )
        .expect("a string takes all that is written");
    };
    for family in families {
        line(family, &family.population);
    }
}
