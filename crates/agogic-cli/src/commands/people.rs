//! `agogic people`: rules and model against people's ordinary typing.

use std::collections::BTreeMap;
use std::io::Write;
use std::process::ExitCode;
use std::sync::Arc;

use agogic_keys::{Assignment, Board, Span, TextPlan, Unsupported};
use agogic_literature::{CheckPlan, PeopleFile, Runs, simulate, simulated_figures, simulated_training};
use agogic_log::Log;
use agogic_people::{
    Crowd, Figure, Half, MISSED, Missed, Person, SPURIOUS, THIRDS, Tester, factor, factors, figures, missed_at,
    rate_name, settings,
};
use agogic_policy::{EvidenceTables, Setting};
use agogic_report::{Column, Sheet};
use agogic_sim::disk::write_file;
use agogic_study::{BUILT_IN_TEXTS, built_in_text};
use agogic_typist::Population;
use serde_json::json;

use super::layout;
use crate::args::People;
use crate::failure::Failure;
use crate::screen::{screen, shown};

/// False holds per 1000 taps at which the rule that learns is compared.
const COMPARED_AT: [f64; 3] = [5.0, 10.0, 20.0];

/// What a rule misses with tables that were trained somewhere.
struct Learned {
    rule: &'static str,
    trained_on: String,
    missed: Vec<Option<Missed>>,
}

/// Rules that learn, from what they see of the keys: times alone, and the keys before and under.
const LEARNED: [&str; 2] = ["evidence", "key-evidence"];

/// Simulated people from whom rules learn, at most.
const TEACHERS: u64 = 2000;

/// Plays people's logs to the settings of the test bed, and lets simulated people do the same.
pub fn people(args: &People, as_json: bool) -> Result<ExitCode, Failure> {
    let layout = layout(&args.layout)?;
    let population = Population::by_name(&args.against).ok_or_else(|| Failure::Name {
        what: "population",
        name: args.against.clone(),
        known: Population::NAMES.join(", "),
    })?;
    let logs: Vec<Log> = args.logs.iter().map(|path| super::read(path, &layout)).collect::<Result<_, _>>()?;
    let everybody = Crowd::of(&logs);
    let half = args.half.map(Half::from);
    let of = |half: Half| everybody.only(|person| Half::of(&args.name, person) == half);
    let crowd = half.map_or_else(|| everybody.only(|_| true), of);
    if args.advised {
        return super::people_advised::people_advised(args, &population, &crowd, as_json);
    }
    let people = crowd.people();
    let counted: Vec<&Person> = people.iter().filter(|person| person.counts()).collect();
    if counted.len() < 3 {
        return Err(Failure::Nothing {
            path: args.logs[0].clone(),
            lacks: "no three people with 60 taps of resting keys and 8 holds of Shift each",
            mend: "give the logs of more people, or check the layout with `agogic inspect`",
        });
    }
    let file = PeopleFile {
        data_set: args.name.clone(),
        half,
        people: crowd.len() as u64,
        counted: counted.len() as u64,
        presses: counted.iter().map(|person| person.keys).sum(),
        figures: figures(&people, Tester::new().labels()),
    };
    if let Some(path) = &args.out {
        let text = serde_json::to_string_pretty(&file).expect("figures are plain data");
        write_file(path, (text + "\n").as_bytes())?;
    }
    let text = built_in_text("tide-station").expect("the text comes with the program");
    let plan = CheckPlan { typists: args.typists, seed: args.seed, ..CheckPlan::new(text) };
    let sample = simulate(&population, &plan)?;
    let simulated: BTreeMap<String, Figure> =
        simulated_figures(&sample, runs(args)).into_iter().map(|figure| (figure.name.clone(), figure)).collect();
    let learned = if args.learned {
        let others = (half == Some(Half::HeldOut)).then(|| of(Half::Calibration));
        let step = args.clock_ms.map(|ms| Span(1000 * ms));
        learned(&crowd, &people, from_simulated(args, &population, crowd.sides_known(), step)?, others)?
    } else {
        Vec::new()
    };
    let mut screen = screen();
    if as_json {
        let of = |own: &Learned| json!({ "rule": own.rule, "trained_on": own.trained_on, "missed": own.missed });
        let learned: Vec<_> = learned.iter().map(of).collect();
        let simulated: Vec<&Figure> = simulated.values().collect();
        let all = json!({ "people": file, "against": population.name(), "simulated": simulated, "learned": learned });
        serde_json::to_writer_pretty(&mut screen, &all).map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    describe(&mut screen, &file, crowd.sides_known())?;
    writeln!(screen, "{}\n", rates(&file, &simulated))?;
    writeln!(screen, "{}", distance(&file, &simulated, population.name()))?;
    if !learned.is_empty() {
        writeln!(
            screen,
            "\nRules that learn, missed holds per 100, by false holds per 1000 (95 %, percentile bootstrap over people); \
             `evidence` knows times alone, `key-evidence` the key before and the key under the hold as well, and no own \
             key, for only Shift is held here:\n\n{}",
            learned_table(&learned)
        )?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The text that simulated people type from whom rules learn: all that come with the program.
pub(super) fn language() -> String {
    let texts: Vec<&str> = BUILT_IN_TEXTS.iter().filter_map(|name| built_in_text(name)).collect();
    texts.join("\n\n")
}

/// What rules learn from simulated people who type as those of the logs do, seen through a clock of that step where one is
/// given.
pub(super) fn from_simulated(
    args: &People,
    population: &Population,
    sides_known: bool,
    step: Option<Span>,
) -> Result<EvidenceTables, Failure> {
    let language = language();
    let plan = CheckPlan { typists: args.typists.min(TEACHERS), seed: args.seed, ..CheckPlan::new(&language) };
    let teachers = simulated_training(&simulate(population, &plan)?, runs(args), sides_known, step);
    let keys = TextPlan::new(&language, &Board::row_staggered(), &Assignment::none(), Unsupported::Refuse)
        .map_or(0, |plan| plan.steps().len());
    Ok(teachers.tables(Some(keys))?)
}

fn runs(args: &People) -> Runs {
    if args.whole { Runs::Whole } else { Runs::Sentences }
}

/// The rules that learn, trained on simulated people and on others of the data set.
fn learned(
    crowd: &Crowd<'_>,
    people: &[Person],
    simulated: EvidenceTables,
    others: Option<Crowd<'_>>,
) -> Result<Vec<Learned>, Failure> {
    let mut sources = vec![("simulated people".to_owned(), simulated)];
    if let Some(others) = others {
        sources.push(("the calibration half".to_owned(), others.training(&others.people()).tables(None)?));
    }
    let mut all = Vec::new();
    for (trained_on, tables) in sources {
        let tables = Arc::new(tables);
        for rule in LEARNED {
            let setting = Setting::trained(rule, &[], &tables).expect("the registry has the rules");
            let judged = crowd.judged(people, &setting);
            let missed = COMPARED_AT.map(|at| missed_at(&judged, at)).to_vec();
            all.push(Learned { rule, trained_on: trained_on.clone(), missed });
        }
    }
    Ok(all)
}

fn describe(screen: &mut impl Write, file: &PeopleFile, sides_known: bool) -> std::io::Result<()> {
    let half = file.half.map_or_else(String::new, |half| format!(", {} half", half.name()));
    let sides = if sides_known { "" } else { " The logs do not say which Shift was pressed." };
    writeln!(
        screen,
        "{}{half}: {} people, of whom {} count (60 taps and 8 holds at least) with {} presses.{sides}\n",
        file.data_set, file.people, file.counted, file.presses
    )
}

fn value<'f>(figures: &'f [Figure], name: &str) -> Option<&'f Figure> {
    figures.iter().find(|figure| figure.name == name)
}

fn rates(file: &PeopleFile, simulated: &BTreeMap<String, Figure>) -> String {
    let mut columns = vec![Column::words("setting")];
    for error in ["false holds", "missed holds"] {
        columns.extend([(error, "of people"), ("", "simulated"), ("", "factor")].map(|(a, b)| Column::numbers(a, b)));
    }
    let mut table = Sheet::new(columns);
    for (label, _) in settings() {
        let mut cells = vec![label.clone()];
        for stem in [SPURIOUS, MISSED] {
            let name = rate_name(stem, &label, None);
            let own = value(&file.figures, &name);
            let other = simulated.get(&name);
            cells.push(own.map_or_else(String::new, |figure| match (figure.lo, figure.hi) {
                (Some(lo), Some(hi)) => format!("{:.1} ({lo:.1}–{hi:.1})", figure.value),
                _ => format!("{:.1}", figure.value),
            }));
            cells.push(other.map_or_else(String::new, |figure| format!("{:.1}", figure.value)));
            cells.push(own.zip(other).map_or_else(String::new, |(a, b)| format!("{:.2}", factor(a.value, b.value))));
        }
        table.push(cells);
    }
    shown(&table)
}

/// How far the simulation is from the people, in a paragraph.
fn distance(file: &PeopleFile, simulated: &BTreeMap<String, Figure>, population: &str) -> String {
    let settings = settings();
    let of = |stem: &str, third: Option<&str>| {
        let rates = settings.iter().filter_map(|(label, _)| {
            let name = rate_name(stem, label, third);
            Some((value(&file.figures, &name)?.value, simulated.get(&name)?.value))
        });
        let (mean, worst) = factors(rates);
        format!("{mean:.2} (worst {worst:.2})")
    };
    let mut text = format!(
        "False holds per 1000 taps, missed holds per 100 holds; intervals: 95 %, Korn & Graubard, unit of resampling: \
         person. Factors between people and simulated `{population}`, rates below 1 taken as 1, geometric mean over the \
         settings: false holds {}, missed holds {}",
        of(SPURIOUS, None),
        of(MISSED, None)
    );
    for third in THIRDS {
        text.push_str(&format!("; {third} third {}, {}", of(SPURIOUS, Some(third)), of(MISSED, Some(third))));
    }
    text.push('.');
    text
}

fn learned_table(learned: &[Learned]) -> String {
    let mut columns = vec![Column::words("rule"), Column::words("trained on")];
    columns.extend(COMPARED_AT.iter().map(|at| Column::numbers(&format!("at {at:.0}"), "")));
    let mut table = Sheet::new(columns);
    for own in learned {
        let cell = |missed: &Option<Missed>| {
            missed.as_ref().map_or_else(String::new, |m| match m.interval {
                Some((lo, hi)) => format!("{:.1} ({lo:.1}–{hi:.1})", m.missed_holds),
                None => format!("{:.1}", m.missed_holds),
            })
        };
        let named = [own.rule.to_owned(), own.trained_on.clone()];
        table.push(named.into_iter().chain(own.missed.iter().map(cell)));
    }
    shown(&table)
}
