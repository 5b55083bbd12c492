//! The plan in words.

use std::fmt::Write;

use crate::grow::WITHIN;
use crate::power::{Aim, Question, Row};

/// The plan as Markdown, with what it cannot know.
pub fn in_words(question: &Question, rows: &[Row], names: [&str; 2]) -> String {
    let [first, second] = names;
    let mut out = String::new();
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let _ = match question.aim {
        Aim::Difference => writeln!(
            out,
            "To show that {first} and {second} differ, with a power of {} at an error of {}, each person trying both:\n",
            percent(question.power),
            percent(question.alpha)
        ),
        Aim::Equivalence { margin } => writeln!(
            out,
            "To show that {first} and {second} differ by less than {} errors per 1000 either way, with a power of {} at an \
             error of {} in each of two one-sided tests, each person trying both:\n",
            per_1000(margin),
            percent(question.power),
            percent(question.alpha)
        ),
    };
    for row in rows {
        let [a, b] = row.rates.map(per_1000);
        let rates = format!("{a} and {b} errors per 1000");
        let _ = match (row.people, row.between, row.found, row.false_positives) {
            (Some(people), between, Some(found), Some(none)) => {
                let range =
                    between.map_or("interval not known".to_owned(), |(lo, hi)| format!("95 % interval {lo} to {hi}"));
                writeln!(
                    out,
                    "- {} minutes each: **{people} people** ({range}; {rates}). {} trial studies of {} people found it in \
                     {} ({} to {}); where there was nothing to find they claimed it in {} ({} to {}).",
                    row.minutes,
                    question.replicates,
                    found.people,
                    percent(found.share),
                    percent(found.lo),
                    percent(found.hi),
                    percent(none.share),
                    percent(none.lo),
                    percent(none.hi)
                )
            }
            _ => {
                let reason = row.reason.as_deref().unwrap_or("the pool does not tell");
                writeln!(out, "- {} minutes each: not known: {reason} ({rates}).", row.minutes)
            }
        };
    }
    out.push_str(&known(rows));
    out.push_str(CAUTIONS);
    out
}

/// A rate as errors per 1000, in three digits.
fn per_1000(rate: f64) -> String {
    let errors = 1000.0 * rate;
    let digits = match errors {
        e if e >= 100.0 => 0,
        e if e >= 10.0 => 1,
        _ => 2,
    };
    format!("{errors:.digits$}")
}

/// What more minutes buy, where they buy less than half of what they would if a person were as unlike the same person in
/// other minutes as two people are; empty otherwise.
fn minutes_against_people(by_length: &[&Row]) -> Option<String> {
    let (short, long) = (by_length.first()?, by_length.last()?);
    let (few, many) = (long.people?, short.people?);
    let times = long.minutes as f64 / short.minutes as f64;
    let would_need = many as f64 / times;
    let saved = many.checked_sub(few)?;
    (times > 1.0 && (saved as f64) < 0.5 * (many as f64 - would_need)).then(|| {
        format!(
            "\n{} minutes instead of {} save {saved} of {many} people, where independent presses would save {:.0}: people differ \
             from each other in what separates the two policies, and no number of minutes takes that away. Ask more people \
             rather than more of each.\n",
            long.minutes,
            short.minutes,
            many as f64 - would_need
        )
    })
}

/// Whether the numbers are known as well as wanted, and what to make of their order.
fn known(rows: &[Row]) -> String {
    let loose: Vec<String> = rows
        .iter()
        .filter_map(|row| row.within.filter(|within| *within > WITHIN).map(|within| (row.minutes, within)))
        .map(|(minutes, within)| format!("{minutes} minutes (+{:.0} %)", 100.0 * within))
        .collect();
    let mut out = String::new();
    if !loose.is_empty() {
        let _ = writeln!(
            out,
            "\nNot known to ± {:.0} %, for want of people in the pool: {}. A larger pool tells more.",
            100.0 * WITHIN,
            loose.join(", ")
        );
    }
    let mut by_length: Vec<&Row> = rows.iter().filter(|row| row.between.is_some()).collect();
    by_length.sort_by_key(|row| row.minutes);
    out.extend(minutes_against_people(&by_length));
    let more = by_length.windows(2).find(|pair| pair[1].people > pair[0].people);
    if let Some([short, long]) = more {
        let beyond = long.between.zip(short.between).is_some_and(|(long, short)| long.0 > short.1);
        let _ = writeln!(
            out,
            "\nMore people are needed at {} minutes than at {}: {}.",
            long.minutes,
            short.minutes,
            if beyond {
                "people change as they go on typing, and the policies come to differ less"
            } else {
                "their intervals overlap, so this may be the pool's chance"
            }
        );
    }
    out
}

const CAUTIONS: &str = "
What this plan does not know:

- The people of the pool are simulated. Real people may differ more from each other than they do, and then more are \
needed. Count the spread of the first dozen and plan again, without looking at the difference.
- People adapt to a policy. The pool does not: early minutes under a new policy may be worse than later ones. Give time \
to practise, and let half begin with the one policy and half with the other.
- People drop out, and some recordings are spoilt. Ask more than the number needed.
- A study with people needs their informed consent and the review of a local ethics committee before it begins. \
Recordings of typing can hold passwords and private matters: prompt a text, or redact before storing. Who feels pain \
stops; pain is a clinician's matter.
";
