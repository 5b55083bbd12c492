//! `key-evidence` on simulated people: trained on one text, list of shortcuts and share of holds, judged on others.
//!
//!     cargo run --release -p agogic-literature --example keys -- [--write] [TYPISTS]
//!
//! Prints `KEYS.md`; `--write` writes it. Volunteers on a row-staggered board with the four modifiers under the resting fingers
//! of both hands, seen through the clock of a keyboard.

use std::fmt::Write;
use std::sync::Arc;

use agogic_keys::{Assignment, Board, Code, Hand, Modifier, Rates, Shortcut, TextPlan, Unsupported, Workload};
use agogic_people::{Judged, JudgedPerson, missed_at};
use agogic_policy::{
    Encounter, EncounterScan, EvidenceCounts, EvidenceTables, KeySample, KeyTable, Setting, TABLE_SETS,
};
use agogic_typist::{Clock, Performer, Population, SessionAddress, Typist};
use rayon::prelude::*;

const SEED: u64 = 19;
/// Presses of each typist.
const KEYS: usize = 4000;
/// Number of the first typist of whom rules learn; judged ones have numbers from zero on.
const TEACHERS: u64 = 1 << 40;
/// False holds per 1000 taps at which misses are compared.
const AT: f64 = 5.0;

const TIDE: &str = include_str!("../../../data-synthetic/texts/tide-station.txt");
const FIVE: [&str; 5] = [
    include_str!("../../../data-synthetic/texts/seed-library.txt"),
    include_str!("../../../data-synthetic/texts/night-ferry.txt"),
    include_str!("../../../data-synthetic/texts/bread-class.txt"),
    include_str!("../../../data-synthetic/texts/parish-minutes.txt"),
    include_str!("../../../data-synthetic/texts/lost-parcel.txt"),
];
const GERMAN: &str = include_str!("../../../data-synthetic/texts/bootswerft.txt");
const PROGRAM: &str = include_str!("../../../data-synthetic/texts/tide-program.txt");

/// What people type: a text with shortcuts.
struct World {
    name: &'static str,
    performer: Performer,
    plan: TextPlan,
    workload: Workload,
}

/// One encounter that was decided wrongly, as a context.
type Context = (Code, Option<Code>, Option<Code>, bool);

impl World {
    fn new(name: &'static str, text: &str, shortcuts: &[Shortcut], per_1000: f64) -> Self {
        let board = Board::row_staggered();
        let order = [Modifier::Meta, Modifier::Alt, Modifier::Control, Modifier::Shift];
        let assignment = Assignment::resting(&board, order);
        let plan = TextPlan::new(text, &board, &assignment, Unsupported::Refuse).expect("our own texts can be typed");
        let rates = Rates { shortcuts: per_1000, bare_holds: 0.0, repeats: 0.0 };
        let workload = Workload::new(&board, &assignment, rates, shortcuts).expect("our own shortcuts");
        Self { name, performer: Performer::new(&board, &assignment), plan, workload }
    }

    /// Shows every encounter of a typist.
    fn each(&self, number: u64, visit: impl FnMut(&Encounter<'_>, bool)) {
        self.each_of(number, 0, visit);
    }

    /// Shows every encounter of a session of a typist.
    fn each_of(&self, number: u64, replicate: u64, mut visit: impl FnMut(&Encounter<'_>, bool)) {
        let typist = Typist::draw(&Population::volunteers(), SEED, number);
        let address = SessionAddress { seed: SEED, replicate };
        let mut session = self.performer.perform(&typist, &self.plan, &self.workload, address, KEYS);
        Clock::default().show(&mut session, number, address);
        let assignment = self.performer.assignment();
        let hand = |code: Code| -> Hand { self.performer.movement().hand(code) };
        EncounterScan::new().each(
            &session.presses,
            |code| assignment.modifier(code).is_some(),
            hand,
            |press, encounter| visit(encounter, session.truths[press].hold),
        );
    }

    fn train(&self, typists: u64) -> Arc<EvidenceTables> {
        let one = |number: u64| {
            let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
            self.each(number, |encounter, hold| {
                counts.add(encounter, hold);
                keys.add(encounter, hold);
            });
            (counts, keys)
        };
        let each: Vec<_> = (TEACHERS..TEACHERS + typists).into_par_iter().map(one).collect();
        let (mut counts, mut keys) = (EvidenceCounts::new(), KeySample::new());
        for (own_counts, own_keys) in each {
            counts.merge(&own_counts);
            keys.append(own_keys);
        }
        let readings = typists as f64 * KEYS as f64 / self.plan.steps().len() as f64;
        let tables = counts.tables().expect("there are taps and holds");
        let keyed = keys.tables(readings, &tables, true).expect("there are taps and holds");
        Arc::new(tables.with_keys(keyed))
    }

    /// The evidence of everybody's encounters under each setting.
    fn judge(&self, typists: u64, settings: &[Setting]) -> Vec<Judged> {
        let one = |number: u64| {
            let mut people = vec![JudgedPerson::default(); settings.len()];
            self.each(number, |encounter, hold| {
                for (setting, person) in settings.iter().zip(&mut people) {
                    let param = setting.entry().params[0];
                    let value = setting.critical_value(param.name, encounter).expect("a threshold of evidence");
                    let steps = param.to_steps(value) as i32;
                    if hold { person.holds.push(steps) } else { person.taps.push(steps) }
                }
            });
            people
        };
        let each: Vec<Vec<JudgedPerson>> = (0..typists).into_par_iter().map(one).collect();
        let mut judged = vec![Judged::new(); settings.len()];
        for people in each {
            judged.iter_mut().zip(people).for_each(|(judged, person)| judged.push(person));
        }
        judged
    }

    /// The contexts that a setting errs in most: own key, key before, first contact, and whether a hold was meant.
    fn errs_on(&self, typists: u64, setting: &Setting) -> Vec<(Context, u64)> {
        let one = |number: u64| {
            let mut wrong: Vec<Context> = Vec::new();
            self.each(number, |encounter, hold| {
                if setting.decide(encounter).is_hold() != hold {
                    let contact = encounter.contacts().next().map(|contact| contact.code);
                    wrong.push((encounter.code, encounter.previous, contact, hold));
                }
            });
            wrong
        };
        let each: Vec<Vec<Context>> = (0..typists).into_par_iter().map(one).collect();
        let mut all: Vec<Context> = each.into_iter().flatten().collect();
        all.sort_unstable();
        let mut counted: Vec<(Context, u64)> =
            all.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as u64)).collect();
        counted.sort_by_key(|(context, count)| (std::cmp::Reverse(*count), *context));
        counted
    }
}

fn setting(tables: &Arc<EvidenceTables>, rule: &str, bytes: f64) -> Setting {
    let values: &[(&str, f64)] = if rule == "evidence" { &[] } else { &[("bytes", bytes)] };
    Setting::trained(rule, values, tables).expect("the registry has the rule")
}

fn cell(judged: &Judged) -> String {
    match missed_at(judged, AT) {
        Some(missed) => match missed.interval {
            Some((lo, hi)) => format!("{:.2} ({lo:.2}–{hi:.2})", missed.missed_holds),
            None => format!("{:.2}", missed.missed_holds),
        },
        None => "–".to_owned(),
    }
}

fn main() -> std::io::Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let write = args.iter().any(|arg| arg == "--write");
    let typists: u64 = args.iter().filter_map(|arg| arg.parse().ok()).next().unwrap_or(200);
    let five = FIVE.join("\n\n");
    let example = Workload::example_shortcuts();
    let others = Workload::other_shortcuts();
    let worlds = [
        World::new("tide-station", TIDE, &example, 8.0),
        World::new("five other texts", &five, &example, 8.0),
        World::new("German", GERMAN, &example, 8.0),
        World::new("program text", PROGRAM, &example, 8.0),
        World::new("tide-station, other shortcuts", TIDE, &others, 8.0),
        World::new("tide-station, 2 shortcuts", TIDE, &example, 2.0),
        World::new("tide-station, 40 shortcuts", TIDE, &example, 40.0),
    ];
    let trained: Vec<Arc<EvidenceTables>> = worlds.iter().map(|world| world.train(typists)).collect();
    let mut text = head(typists);
    table_sets(&mut text, &worlds, &trained, typists);
    matrix(&mut text, &worlds, &trained, typists);
    reliability(&mut text, &worlds, &trained, typists);
    contexts(&mut text, &worlds, &trained, typists);
    personal(&mut text, &worlds, &trained[1], typists.min(100));
    print!("{text}");
    if write {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("KEYS.md");
        std::fs::write(path, text)?;
    }
    Ok(())
}

fn head(typists: u64) -> String {
    format!(
        "# What keys say beside times: `key-evidence` on simulated people\n\n\
         Made by `cargo run --release -p agogic-literature --example keys -- --write`. Volunteers with four modifiers under the \
         resting fingers of both hands, seen through the clock of a keyboard; rules learn from {typists} typists of {KEYS} \
         presses and are judged on {typists} others. Unless said otherwise 8 shortcuts of the example list stand among 1000 \
         keys. Figures are missed holds per 100 at {AT} false holds per 1000 taps, one threshold for everybody, with 95 % \
         percentile intervals of the bootstrap over typists, the threshold found anew in each resample. Texts are as they \
         are: no interval counts how texts differ.\n"
    )
}

/// What each table of the sets gains, on the text that was not learned from.
fn table_sets(text: &mut String, worlds: &[World], trained: &[Arc<EvidenceTables>], typists: u64) {
    text.push_str(
        "\n## Tables and memory\n\nEach row adds a table to those above it, the last widens entries from one byte to two. \
         Trained on one text, judged on the other.\n\n\
         | bytes | adds | tide-station → five others | five others → tide-station |\n| ---: | --- | ---: | ---: |\n",
    );
    let settings = |tables: &Arc<EvidenceTables>| -> Vec<Setting> {
        let sets = TABLE_SETS.iter().map(|set| setting(tables, "key-evidence", (set.bytes() as f64).max(400.0)));
        std::iter::once(setting(tables, "evidence", 0.0)).chain(sets).collect()
    };
    let judged = [worlds[1].judge(typists, &settings(&trained[0])), worlds[0].judge(typists, &settings(&trained[1]))];
    let evidence = agogic_policy::Evidence::COST.bytes;
    let _ = writeln!(
        text,
        "| {evidence} | `evidence`: times alone, two bytes | {} | {} |",
        cell(&judged[0][0]),
        cell(&judged[1][0])
    );
    for (at, set) in TABLE_SETS.iter().enumerate() {
        // The smallest set lies below the least number of bytes that the rule takes.
        if set.bytes() < 400 {
            continue;
        }
        let adds = match (at, set.narrow) {
            (_, false) => "wider entries",
            _ => KeyTable::ALL[set.tables - 1].words(),
        };
        let _ = writeln!(
            text,
            "| {} | {adds} | {} | {} |",
            set.bytes(),
            cell(&judged[0][1 + at]),
            cell(&judged[1][1 + at])
        );
    }
}

/// Trained × judged, for times alone and for the sets of 1 KiB and 4 KiB.
fn matrix(text: &mut String, worlds: &[World], trained: &[Arc<EvidenceTables>], typists: u64) {
    text.push_str(
        "\n## Trained on one, judged on another\n\nRows are what was learned from, columns what was judged. Each cell: \
         times alone (`evidence`), then `key-evidence` within 1 KiB, then within 4 KiB; then, for 1 KiB, false holds per 1000 \
         and missed per 100 at the threshold that made 5 false holds on what was learned from. A cell in which keys do not \
         halve what times miss is marked *.\n\n| trained on |",
    );
    worlds.iter().for_each(|world| _ = write!(text, " {} |", world.name));
    text.push_str("\n| --- |");
    worlds.iter().for_each(|_| text.push_str(" --- |"));
    text.push('\n');
    for (own, tables) in worlds.iter().zip(trained) {
        let settings = [
            setting(tables, "evidence", 0.0),
            setting(tables, "key-evidence", 1024.0),
            setting(tables, "key-evidence", 4096.0),
        ];
        let at_home = own.judge(typists, &settings);
        let threshold = missed_at(&at_home[1], AT).map_or(0.0, |missed| missed.above_nats);
        let _ = write!(text, "| {} |", own.name);
        for world in worlds {
            let judged = if std::ptr::eq(world, own) { at_home.clone() } else { world.judge(typists, &settings) };
            let value = |at: usize| missed_at(&judged[at], AT).map_or(f64::NAN, |missed| missed.missed_holds);
            let moved = judged[1].errors_above(threshold).unwrap_or((f64::NAN, f64::NAN));
            let mark = if value(1) <= value(0) / 2.0 { "" } else { " *" };
            let _ = write!(
                text,
                " {:.1}; {}; {}; {:.1} and {:.1}{mark} |",
                value(0),
                cell(&judged[1]),
                cell(&judged[2]),
                moved.0,
                moved.1
            );
        }
        text.push('\n');
    }
}

/// Whether the log odds are odds: of presses in each bin, the share of holds beside the mean of what was said.
fn reliability(text: &mut String, worlds: &[World], trained: &[Arc<EvidenceTables>], typists: u64) {
    text.push_str(
        "\n## Whether the sum is a log odds\n\nTrained on tide-station, within 1 KiB. Of presses whose sum lies in a bin, the \
         share that were holds, and the mean of the probabilities that the sums say.\n\n\
         | sum (nats) | presses | said | on tide-station | presses | said | on five others |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let settings = [setting(&trained[0], "key-evidence", 1024.0)];
    let bins = |world: &World| -> Vec<[f64; 3]> {
        let mut bins = vec![[0.0; 3]; 11];
        for judged in world.judge(typists, &settings) {
            for (steps, hold) in judged.values() {
                let odds = f64::from(steps) / 256.0;
                let bin = ((odds + 11.0) / 2.0).clamp(0.0, 10.0) as usize;
                let p = 1.0 / (1.0 + (-odds).exp());
                bins[bin] = [bins[bin][0] + 1.0, bins[bin][1] + p, bins[bin][2] + f64::from(u8::from(hold))];
            }
        }
        bins
    };
    let (home, away) = (bins(&worlds[0]), bins(&worlds[1]));
    for (at, (home, away)) in home.iter().zip(&away).enumerate() {
        let from = -11 + 2 * at as i64;
        let range = match at {
            0 => "below −9".to_owned(),
            10 => "9 and more".to_owned(),
            _ => format!("{from} to {}", from + 2),
        };
        let shares = |bin: &[f64; 3]| {
            if bin[0] == 0.0 {
                "0 | – | –".to_owned()
            } else {
                format!("{} | {:.4} | {:.4}", bin[0], bin[1] / bin[0], bin[2] / bin[0])
            }
        };
        let _ = writeln!(text, "| {range} | {} | {} |", shares(home), shares(away));
    }
}

/// The contexts that the rule errs on most, as words.
fn contexts(text: &mut String, worlds: &[World], trained: &[Arc<EvidenceTables>], typists: u64) {
    text.push_str(
        "\n## Where it errs\n\nTrained on tide-station, within 1 KiB, threshold 0: the contexts with most wrong decisions, on \
         the five other texts and under other shortcuts. A name, a password or an unusual shortcut is such a context: keys \
         that say the contrary of what was learned.\n\n",
    );
    let rule = setting(&trained[0], "key-evidence", 1024.0);
    for world in [&worlds[1], &worlds[4]] {
        let wrong = world.errs_on(typists, &rule);
        let all: u64 = wrong.iter().map(|(_, count)| count).sum();
        let _ = writeln!(text, "{}: {all} wrong decisions, the most of them on\n", world.name);
        for ((own, previous, contact, hold), count) in wrong.iter().take(8) {
            let name = |code: Code| {
                code.character(false).filter(|c| !c.is_whitespace()).map_or(code.name().to_owned(), String::from)
            };
            let before = previous.map_or("at the start".to_owned(), |code| format!("after {}", name(code)));
            let under = contact.map_or("alone".to_owned(), |code| format!("with {} coming down", name(code)));
            let meant = if *hold { "a hold taken for a tap" } else { "a tap taken for a hold" };
            let _ = writeln!(text, "- {} {before}, {under}: {meant}, {count} times", name(*own));
        }
        text.push('\n');
    }
}

/// Tables made a person's own: wrong decisions on a session of its own after so many presses of another one.
fn personal(text: &mut String, worlds: &[World], trained: &Arc<EvidenceTables>, typists: u64) {
    let _ = write!(
        text,
        "## A person's own tables\n\nTables learned from the five other texts are updated by the first dual-role presses of a \
         typist on tide-station, with known intents, and judged on another session of that typist. {typists} typists, \
         1 KiB, threshold 0. Wrong decisions per 1000 dual-role presses, and the mean gain over everybody's tables with its \
         standard error over typists.\n\n| prior (nats) | own presses | everybody's tables | own tables | gain |\n\
         | ---: | ---: | ---: | ---: | ---: |\n"
    );
    let world = &worlds[0];
    let everybody = trained.keyed.as_ref().expect("tables of keys");
    for prior in [0.25, 0.5, 1.0] {
        for first in [200, 1000] {
            let one = |number: u64| {
                let mut sample = KeySample::new();
                world.each_of(number, 1, |encounter, hold| {
                    if sample.len() < first {
                        sample.add(encounter, hold);
                    }
                });
                let own = Arc::new((**trained).clone().with_keys(everybody.personal(&sample, prior)));
                let settings = [setting(trained, "key-evidence", 1024.0), setting(&own, "key-evidence", 1024.0)];
                let (mut wrong, mut all) = ([0.0; 2], 0.0);
                world.each(number, |encounter, hold| {
                    all += 1.0;
                    for (setting, wrong) in settings.iter().zip(&mut wrong) {
                        *wrong += f64::from(u8::from(setting.decide(encounter).is_hold() != hold));
                    }
                });
                wrong.map(|wrong| 1000.0 * wrong / all)
            };
            let each: Vec<[f64; 2]> = (0..typists).into_par_iter().map(one).collect();
            let n = each.len() as f64;
            let mean = |of: &dyn Fn(&[f64; 2]) -> f64| each.iter().map(of).sum::<f64>() / n;
            let gain = mean(&|w| w[0] - w[1]);
            let error = (mean(&|w| (w[0] - w[1] - gain).powi(2)) / (n - 1.0)).sqrt();
            let _ = writeln!(
                text,
                "| {prior} | {first} | {:.2} | {:.2} | {gain:+.2} ({error:.2}) |",
                mean(&|w| w[0]),
                mean(&|w| w[1])
            );
        }
    }
}
