//! Advice for one person: who gains is found, who does not is left alone, and what is promised comes.

use std::path::Path;

use agogic_fit::{FitPlan, fit};
use agogic_keys::{Press, Truth};
use agogic_lab::{CommonLosses, PersonalAdvice, PersonalQuestion, PersonalVerdict, common_losses, personal_advice};
use agogic_log::{Intent, SessionLog};
use agogic_policy::Setting;
use agogic_score::{Emulator, SessionJudge, Transcript};
use agogic_stats::{Estimate, Level, Trials, binomial_lower};
use agogic_study::{Arm, EstimandInfo, Study};
use agogic_typist::{Performer, Population, SessionAddress, Trait, TraitSpread, Typist};
use rayon::prelude::*;

/// alpha of every single assertion.
const ALPHA: f64 = 1e-6;

fn study() -> Study {
    let spec = r#"
name = "advice-for-one"
seed = 31
[text]
built_in = "tide-station"
[workload]
shortcuts_per_1000_keys = 8
[typists]
number = 2
[[policy]]
rule = "enclosed"
"#;
    Study::read(spec, Path::new(".")).unwrap()
}

fn question(study: &Study) -> PersonalQuestion<'_> {
    PersonalQuestion {
        arm: &study.arms[0],
        costs: &study.costs,
        objective: EstimandInfo::by_name("wrong_keys").unwrap(),
        least_gain: 2.0,
        level: Level::new(0.95).unwrap(),
        seed: study.seed,
        keys: 1000,
        common_people: 60,
        search_draws: 20,
        confirm_draws: 40,
    }
}

/// The log of a typist, as prompted.
fn log(arm: &Arm, typist: &Typist, presses: usize) -> SessionLog {
    let performer = Performer::new(&arm.board, &arm.assignment);
    let session =
        performer.perform(typist, &arm.plan, &arm.workload, SessionAddress { seed: 77, replicate: 0 }, presses);
    let intent = |(press, truth): (&Press, &Truth)| {
        arm.assignment.modifier(press.code).map(|_| if truth.hold { Intent::Hold(None) } else { Intent::Tap })
    };
    SessionLog {
        participant: "p".to_owned(),
        session: "1".to_owned(),
        part: 0,
        intents: session.presses.iter().zip(&session.truths).map(intent).collect(),
        presses: session.presses,
        breaks: Vec::new(),
    }
}

fn advised(question: &PersonalQuestion<'_>, common: &CommonLosses, typist: &Typist, presses: usize) -> PersonalAdvice {
    let arm = question.arm;
    let log = log(arm, typist, presses);
    let plan = FitPlan {
        population: &arm.population,
        board: &arm.board,
        assignment: &arm.assignment,
        level: question.level,
        seed: 1,
        redraws: 0,
    };
    let fitted = fit(&[&log], &plan).unwrap();
    let person = fitted.as_population("p", "").unwrap();
    personal_advice(question, common, &person, &[&log])
}

/// What a typist really saves per 1000 words with the second of two settings, on the text that the advice is about,
/// typed again and again; and the error of that.
fn saves(question: &PersonalQuestion<'_>, typist: &Typist, labels: [&str; 2]) -> (f64, f64) {
    let arm = question.arm;
    let performer = Performer::new(&arm.board, &arm.assignment);
    let emulator = Emulator::new(&arm.assignment);
    let settings = labels.map(setting);
    let mut judge = SessionJudge::new();
    let each: Vec<f64> = (100..160)
        .map(|replicate| {
            let session = performer.perform(
                typist,
                &arm.plan,
                &arm.workload,
                SessionAddress { seed: 78, replicate },
                question.keys,
            );
            let transcript = Transcript::new(&emulator, &session.presses, &session.truths, session.words);
            let mut lost = [0.0; 2];
            let hand = |code| performer.movement().hand(code);
            judge.judge(&transcript, hand, &settings.each_ref(), question.costs, |at, score, _| {
                lost[at] = 1000.0 * score.counts.wrong_keys() as f64 / score.counts.words as f64;
            });
            lost[0] - lost[1]
        })
        .collect();
    let n = each.len() as f64;
    let mean = each.iter().sum::<f64>() / n;
    (mean, (each.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0) / n).sqrt())
}

/// The setting of a label such as `overlap-share 0.4, lull 100`.
fn setting(label: &str) -> Setting {
    let (rule, lull) = label.split_once(", lull ").map_or((label, None), |(rule, lull)| (rule, Some(lull)));
    let (rule, value) = rule.split_once(' ').map_or((rule, None), |(rule, value)| (rule, Some(value)));
    let mut setting = Setting::rule(rule, &[]).unwrap();
    if let Some(value) = value {
        let name = setting.entry().params[0].name;
        setting = setting.with_value(name, value.parse().unwrap()).unwrap();
    }
    if let Some(lull) = lull {
        setting = setting.with_value("lull_ms", lull.parse().unwrap()).unwrap();
    }
    assert_eq!(setting.label(), label);
    setting
}

/// A typist of the middle of `people`, but for some traits.
fn typist(people: &Population, traits: &[(Trait, f64)]) -> Typist {
    let mut own = people.clone();
    for (id, median) in traits {
        own = own.with_trait(*id, TraitSpread { median: *median, spread: people.spread_of(*id).spread }).unwrap();
    }
    Typist::median(&own)
}

#[test]
fn who_gains_is_found_and_who_does_not_is_left_alone() {
    let study = study();
    let question = question(&study);
    let common = common_losses(&question);
    let people = &question.arm.population;
    // Someone who nearly always lets the held key go first, slowly: a rule for others serves them badly.
    let odd = typist(people, &[(Trait::Release, 35.0), (Trait::Interval, 220.0), (Trait::Lead, 90.0)]);
    let found = advised(&question, &common, &odd, 3000);
    assert_eq!(found.overall.verdict, PersonalVerdict::Change, "{}", found.sentence);
    assert!(found.sentence.starts_with("Change to `"), "{}", found.sentence);
    let (saved, error) = saves(&question, &odd, [&found.overall.default, &found.overall.personal]);
    assert!(saved - 4.9 * error > question.least_gain, "{saved} ± {error}: {}", found.sentence);
    let gain = &found.overall.gain;
    assert!(gain.lo.unwrap() > question.least_gain && found.overall.on_log[0].known() > 300);
    // With a least gain that nobody can reach the same person is told to stay.
    let deaf = PersonalQuestion { least_gain: 1e4, ..self::question(&study) };
    let stays = advised(&deaf, &common, &odd, 3000);
    assert_eq!(stays.overall.verdict, PersonalVerdict::Stay);
    assert!(stays.sentence.starts_with("No change is worth it"), "{}", stays.sentence);
    // Nobody is told to change without a word of theirs: a log of a few presses leaves them where they are.
    let few = advised(&question, &common, &typist(people, &[]), 40);
    assert_ne!(few.overall.verdict, PersonalVerdict::Change, "{}", few.sentence);
    assert!(few.sentence.starts_with("No change is worth it"), "{}", few.sentence);
}

/// 200 people of the population, 1500 presses each, alpha 1e-6 each: their true gains lie in the intervals as often
/// as promised and around the expected gains. Intervals that know the expected gain alone, as if the log left nothing
/// of the person unknown, are refused.
#[test]
fn promises_are_kept() {
    let study = study();
    let question = question(&study);
    let common = common_losses(&question);
    let number = 200_u64;
    let rows: Vec<(Estimate, f64, f64)> = (0..number)
        .into_par_iter()
        .map(|person| {
            let typist = Typist::draw(&question.arm.population, 5, person);
            let own = advised(&question, &common, &typist, 1500).overall;
            let (saved, error) = saves(&question, &typist, [&own.default, &own.personal]);
            (own.gain, saved, error)
        })
        .collect();
    // The truth is simulated too: its own error widens every interval.
    let hits = |half: &dyn Fn(&Estimate) -> [f64; 2]| {
        let holds = |(gain, saved, error): &&(Estimate, f64, f64)| {
            let [down, up] = half(gain).map(|half| half.hypot(1.96 * error));
            let gain = gain.value.unwrap();
            *saved >= gain - down && *saved <= gain + up
        };
        rows.iter().filter(holds).count() as u64
    };
    let stated = hits(&|gain| [gain.value.unwrap() - gain.lo.unwrap(), gain.hi.unwrap() - gain.value.unwrap()]);
    let of_mean = hits(&|gain| [1.96 * gain.mcse.unwrap(); 2]);
    let allows = |hits: u64| binomial_lower(Trials::new(hits, number).unwrap(), 0.95) > ALPHA;
    assert!(allows(stated), "{stated} of {number}");
    assert!(!allows(of_mean), "the mean alone: {of_mean} of {number}");
    let n = number as f64;
    let differences: Vec<f64> = rows.iter().map(|(gain, saved, _)| saved - gain.value.unwrap()).collect();
    let mean = differences.iter().sum::<f64>() / n;
    let error = (differences.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / (n - 1.0) / n).sqrt();
    assert!(mean.abs() < 4.9 * error, "{mean} ± {error}");
    // And it is worth asking: on average people gain.
    let gained = rows.iter().map(|row| row.1).sum::<f64>() / n;
    assert!(gained > 5.0, "{gained}");
}
