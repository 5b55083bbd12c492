//! The study as Markdown.

use std::fmt::Write as _;

use agogic_stats::{FEWEST_CLUSTERS, FEWEST_DIFFERING, FEWEST_INFORMATIVE, Level, Trials, binomial_upper, wilson};
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

/// Median of typists with events below which a row is not judged for holding too often.
const DISCRETE: u64 = 20;

fn bold(text: String, held: bool) -> String {
    if held { text } else { format!("**{text}**") }
}

/// Coverage, bold where it is outside; `discrete` where holding more often is not judged.
fn coverage(tally: &Tally, discrete: bool) -> String {
    if tally.given == 0 {
        return "–".to_owned();
    }
    let held = tally.percent()[2];
    // Rounded first, as it is read.
    let rounded = (held * 10.0).round() / 10.0;
    bold(format!("{held:.1}"), HELD.contains(&rounded) || (discrete && rounded > *HELD.end()))
}

fn misses(tally: &Tally, discrete: bool) -> String {
    if tally.given == 0 {
        return "–".to_owned();
    }
    let [above, below, _] = tally.percent();
    let (least, most) = (above.min(below), above.max(below));
    bold(format!("{above:.1} / {below:.1}"), most <= 2.0 * least || discrete)
}

/// Both without judgement.
fn plainly(tally: &Tally) -> String {
    let [above, below, held] = tally.percent();
    format!("{above:.1} / {below:.1} | {held:.1}")
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
         have such events, or in whom the two settings differ. *Sure* are intervals without a caution, which a rate earns with \
         fewer than {FEWEST_INFORMATIVE} typists who have such events, a difference with fewer than {FEWEST_DIFFERING} who \
         differ, and both without any; *share* is how many are sure. *Worst cell* of them is among cells in which half are. \
         *Before* is what stood here before: Korn–Graubard for proportions, linearised t for the rest. *None or outside* \
         counts estimates without limits, as where all typists agree, or with one outside the range of the quantity.\n\n\
         Sure intervals are judged. **Bold** is what lies outside {}–{} %, or misses of one side more than twice those of the \
         other, and families outside {}–{} %. By a rule made beforehand, a row with fewer than {DISCRETE} events is not judged \
         for holding too often or for an uneven rest of misses: there most typists have none, a rate can only take a few \
         values near its end of the range, and no interval holds exactly as often as it says.\n",
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
    writeln!(out, "{}", include_str!("why.md")).expect("a string takes all that is written");
    for (what, title) in [(What::Rate, "Rates"), (What::Difference, "Differences")] {
        singles(&mut out, cells, what, title);
    }
    by_events(&mut out, cells);
    by_typists(&mut out, cells);
    of_families(&mut out, families);
    out
}

fn singles(out: &mut String, cells: &[Cell], what: What, title: &str) {
    let head = "| estimand | typists | cells | events | all: above / below | held | worst cell | sure: above / below | held | \
                worst cell | share | before | worst before | none or outside |\n\
                |---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|";
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
            let worst = |of: fn(&Cell) -> &Tally| {
                let counted = own.iter().filter(|cell| 2 * of(cell).given >= cell.studies);
                counted
                    .map(|cell| of(cell).percent()[2])
                    .reduce(f64::min)
                    .map_or("–".to_owned(), |least| format!("{least:.1}"))
            };
            let events = median(own.iter().map(|cell| cell.informative()).collect());
            writeln!(
                out,
                "| {} | {typists} | {} | {events} | {} | {} | {} | {} | {} | {:.0} | {:.1} | {} | {} |",
                info.name,
                own.len(),
                plainly(&all),
                worst(|cell| &cell.own),
                misses(&sure, events < DISCRETE),
                coverage(&sure, events < DISCRETE),
                worst(|cell| &cell.sure),
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
         events, or differ. Below {FEWEST_INFORMATIVE} a rate carries a caution, below {FEWEST_DIFFERING} a difference does: with \
         few that differ the mean over cells hides that single cells lie far below it, the settings of which differ by a rare \
         typist whom the usual sample lacks. *Worst cell* is among cells with a fifth of their intervals in the class.\n\n| | typists with events | intervals | above / below | \
         held | worst cell |\n|---|--:|--:|--:|--:|--:|",
        MEANT[0]
    )
    .expect("a string takes all that is written");
    for (what, name) in [(What::Rate, "rates"), (What::Difference, "differences")] {
        let mut from = 0;
        for (class, end) in CLASSES.iter().enumerate() {
            let own: Vec<&Cell> = cells.iter().filter(|cell| cell.what == what && cell.typists >= MEANT[0]).collect();
            let all = sum(own.iter().map(|cell| &cell.classes[class]));
            let range = if *end < u64::MAX { format!("{from}–{}", end - 1) } else { format!("from {from}") };
            let counted = own.iter().filter(|cell| 5 * cell.classes[class].given >= cell.studies);
            let worst = counted.map(|cell| cell.classes[class].percent()[2]).reduce(f64::min);
            let worst = worst.map_or("–".to_owned(), |least| format!("{least:.1}"));
            // Classes below the limit of the caution are shown, not judged.
            let limit = if what == What::Rate { FEWEST_INFORMATIVE } else { FEWEST_DIFFERING };
            let (missed, held) = if from < limit {
                let [above, below, held] = all.percent();
                (format!("{above:.1} / {below:.1}"), format!("{held:.1}"))
            } else {
                (misses(&all, false), coverage(&all, from < DISCRETE))
            };
            writeln!(out, "| {name} | {range} | {} | {missed} | {held} | {worst} |", all.given)
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
         *Below* counts cells under {} %, of all intervals, of sure ones where half are, and of methods that hold exactly, by \
         chance alone.\n\n| | typists | all: above / below | held | below | sure: above / below | held | below | by chance |\n\
         |---|--:|--:|--:|--:|--:|--:|--:|--:|",
        HELD.start()
    )
    .expect("a string takes all that is written");
    for (what, name) in [(What::Rate, "rates"), (What::Difference, "differences")] {
        for typists in TYPISTS {
            let own: Vec<&Cell> = cells.iter().filter(|cell| cell.what == what && cell.typists == typists).collect();
            let (all, sure) = (sum(own.iter().map(|c| &c.own)), sum(own.iter().map(|c| &c.sure)));
            let short = |tally: &Tally| tally.percent()[2] < *HELD.start();
            let counted: Vec<&Tally> =
                own.iter().filter(|cell| 2 * cell.sure.given >= cell.studies).map(|cell| &cell.sure).collect();
            let studies = own.first().map_or(0, |cell| cell.studies);
            let most = (1.0 - HELD.start() / 100.0) * studies as f64;
            let by_chance = binomial_upper(Trials::new(most.floor() as u64 + 1, studies).expect("a count"), 0.05);
            writeln!(
                out,
                "| {name} | {typists} | {} | {} of {} | {} | {} | {} of {} | {:.0} |",
                plainly(&all),
                own.iter().filter(|cell| short(&cell.own)).count(),
                own.len(),
                misses(&sure, false),
                coverage(&sure, false),
                counted.iter().filter(|tally| short(tally)).count(),
                counted.len(),
                by_chance * own.len() as f64,
            )
            .expect("a string takes all that is written");
        }
    }
    out.push('\n');
}

fn of_families(out: &mut String, families: &[Family]) {
    writeln!(
        out,
        "## Families\n\nPercent of studies in which at least one of the joint intervals misses the true difference, with a \
         Wilson 95 % interval. *Given* is the share of contrasts with joint limits: below {FEWEST_DIFFERING} typists that \
         differ there are none, and *none* is the percent of studies in which no contrast has them; studies that give some are \
         counted. *Alone* is what single intervals of 95 % come to, cautions or not. *Narrower* counts joint intervals that do not contain the one of their contrast alone. *Error* is the \
         greatest Monte Carlo error of a critical value, in percent of it.\n\n| estimand | against | typists | population | contrasts | missed | \
         given | none | alone | narrower | error |\n|---|---|--:|---|--:|--:|--:|--:|--:|--:|--:|"
    )
    .expect("a string takes all that is written");
    let percent = |count: u64, of: u64| 100.0 * count as f64 / of.max(1) as f64;
    let mut line = |family: &Family, population: &str| {
        let counted = family.studies - family.empty;
        let cell = if counted == 0 {
            "–".to_owned()
        } else {
            let interval = wilson(Trials::new(family.missed, counted).expect("a count"), Level::P95);
            let missed = percent(family.missed, counted);
            let text = format!("{missed:.1} ({:.1}–{:.1})", 100.0 * interval.lo, 100.0 * interval.hi);
            bold(text, FAMILY.contains(&((missed * 10.0).round() / 10.0)))
        };
        writeln!(
            out,
            "| {} | {} | {} | {population} | {} | {cell} | {:.0} | {:.0} | {:.1} | {} | {:.2} |",
            family.estimand,
            if family.against == Against::Reference { "reference" } else { "named" },
            family.typists,
            family.contrasts,
            percent(family.given, family.studies * family.contrasts as u64),
            percent(family.empty, family.studies),
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
