//! Advice in plain words.

use agogic_policy::Setting;
use agogic_stats::{Estimate, fixed};

use crate::advice::{PersonalAdvice, PersonalVerdict, Row};
use crate::errors_by_key::KeyErrors;

/// What has to be done to come from one setting to another, value by value.
pub(crate) fn changes(before: &Setting, after: &Setting) -> Vec<String> {
    if before.entry().name != after.entry().name {
        return vec![format!("use `{}` in place of `{}`", after.label(), before.label())];
    }
    let mut found = Vec::new();
    let guards =
        ["lull_ms", "dwell_floor_ms"].map(|name| before.threshold(name).expect("every setting can take guards"));
    for param in before.entry().params.iter().chain(&guards) {
        let [was, is] = [before, after].map(|setting| setting.value(param.name).ok().flatten());
        found.extend(param.turned(was, is));
    }
    match (before.guards().other_hand, after.guards().other_hand) {
        (false, true) => found.push("let only keys of the other hand make a hold".to_owned()),
        (true, false) => found.push("let keys of the same hand make a hold too".to_owned()),
        _ => {}
    }
    found
}

fn gain(estimate: &Estimate) -> String {
    let percent = estimate.level * 100.0;
    match (estimate.value, estimate.lo, estimate.hi) {
        (Some(gain), Some(lo), Some(hi)) => {
            let [gain, lo, hi] = [gain, lo, hi].map(|value| fixed(value, estimate.decimals(1)));
            format!("{gain} wrong decisions per 1000 presses ({percent} % interval {lo} to {hi})")
        }
        (Some(gain), ..) => format!("{gain:.1} wrong decisions per 1000 presses (no interval)"),
        _ => "an unknown number of wrong decisions".to_owned(),
    }
}

/// What a row buys and costs.
fn price(row: &Row) -> String {
    let (before, after) = (&row.choice.before, &row.choice.after);
    format!(
        "false holds {:.1} → {:.1} per 1000 taps, missed holds {:.1} → {:.1} per 100 holds",
        before.false_holds, after.false_holds, before.missed_holds, after.missed_holds
    )
}

/// The advice, a sentence a line.
pub(crate) fn sentences(advice: &PersonalAdvice) -> Vec<String> {
    let own = &advice.simple;
    let before = match advice.now {
        true => format!("`{}`, the setting in use", advice.before),
        false => format!("`{}`, the best common setting of `{}`", advice.before, advice.population),
    };
    let mut said = Vec::new();
    match own.verdict {
        PersonalVerdict::NotEnough => {
            said.push(format!(
                "Not enough to say: {}. Until then {before} stays.",
                advice.lacks.as_deref().unwrap_or("the log is too short")
            ));
            return said;
        }
        PersonalVerdict::Change => said.push(format!(
            "Change to `{}`: against {before}, it saves {}; {}.",
            own.choice.setting,
            gain(&own.choice.gain),
            price(own)
        )),
        PersonalVerdict::Stay if own.choice.setting == advice.before => {
            said.push(format!("No change: {before}, suits this person best of all settings without tables."));
        }
        PersonalVerdict::Stay => said.push(format!(
            "No change is worth it: {before}, stays. `{}` saves {}, and less than {} is not worth a change.",
            own.choice.setting,
            gain(&own.choice.gain),
            advice.least_gain
        )),
        PersonalVerdict::StayUnsure => said.push(format!(
            "No change is worth it on what is known: {before}, stays. `{}` may save {}, but it is not sure that it saves \
             more than {}; more typing would tell.",
            own.choice.setting,
            gain(&own.choice.gain),
            advice.least_gain
        )),
    }
    if own.verdict == PersonalVerdict::Change && !advice.changes.is_empty() {
        said.push(format!("To do: {}.", advice.changes.join("; ")));
    }
    if let Some(why) = why(advice) {
        said.push(why);
    }
    let gained = |row: &Row| row.choice.gain.value.unwrap_or(f64::NEG_INFINITY);
    if let Some(parts) = &advice.parts
        && gained(parts) > gained(own).max(0.0) + advice.least_gain
    {
        let verb = if parts.verdict == PersonalVerdict::Change { "saves" } else { "may save" };
        let (rule, setting) = (parts.choice.rule, &parts.choice.setting);
        said.push(format!(
            "Where the keyboard can hold {rule}, `{setting}` {verb} {}; {}.",
            gain(&parts.choice.gain),
            price(parts)
        ));
    }
    if let Some(tables) = &advice.tables {
        let surely = tables.verdict == PersonalVerdict::Change;
        if gained(tables) <= gained(own).max(0.0) {
            said.push("Rules with tables would do no better.".to_owned());
            return said;
        }
        let verb = if surely { "saves" } else { "may save" };
        said.push(format!(
            "Where the keyboard can hold tables, `{}` {verb} {}; {}.",
            tables.choice.setting,
            gain(&tables.choice.gain),
            price(tables)
        ));
    }
    said
}

/// Where the setting before errs most, and the long presses that explain it.
fn why(advice: &PersonalAdvice) -> Option<String> {
    let all: u64 = advice.keys.iter().map(|own| own.wrong()[0]).sum();
    let worst = advice.fingers.first().filter(|own| all > 0 && own.wrong()[0] > 0)?;
    let mut text = format!(
        "Why: of {all} wrong decisions of `{}` on the log, {} are the {} finger's ({} letters held, {} holds missed)",
        advice.before,
        worst.wrong()[0],
        worst.name,
        worst.false_holds[0],
        worst.missed_holds[0]
    );
    // Long presses explain letters that are held, not holds that are missed.
    let held = worst.false_holds[0] > worst.missed_holds[0];
    let long = |own: &&KeyErrors| held && own.taps >= 20 && 100 * own.long_taps >= 2 * own.taps;
    let rest = advice.keys.iter().filter(long).max_by(|a, b| {
        let share = |own: &KeyErrors| own.long_taps as f64 / own.taps as f64;
        share(a).total_cmp(&share(b)).then(b.name.cmp(&a.name))
    });
    if let Some(key) = rest {
        let share = 100.0 * key.long_taps as f64 / key.taps as f64;
        text.push_str(&format!("; {share:.0} of 100 letters of {} last over 200 ms", key.name));
    }
    Some(text + ".")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_to_be_done_is_said_value_by_value() {
        let plain = |rule: &str, values: &[(&str, f64)]| Setting::rule(rule, values).unwrap();
        let lull = |setting: Setting, ms: f64| setting.with_value("lull_ms", ms).unwrap();
        let cutoff = |ms: f64| plain("dwell-cutoff", &[("cutoff_ms", ms)]);
        let said = |a: &Setting, b: &Setting| changes(a, b).join("; ");
        assert_eq!(said(&cutoff(200.0), &cutoff(240.0)), "raise the cutoff from 200 to 240 ms");
        assert_eq!(
            said(&lull(cutoff(200.0), 100.0), &lull(cutoff(180.0), 150.0)),
            "lower the cutoff from 200 to 180 ms; raise the lull from 100 to 150 ms"
        );
        assert_eq!(said(&lull(plain("enclosed", &[]), 150.0), &plain("enclosed", &[])), "take the lull of 150 ms away");
        assert_eq!(said(&plain("enclosed", &[]), &cutoff(200.0)), "use `dwell-cutoff 200` in place of `enclosed`");
        assert_eq!(said(&cutoff(200.0), &cutoff(200.0)), "");
    }
}
