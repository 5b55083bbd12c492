//! A summary as text.

use std::fmt::Write;

use agogic_stats::Estimate;

use super::{Ink, PersonSummary, Quantiles, Summary};

/// Bars are this long at most.
const CELLS: usize = 40;

/// People shown in full; the rest of a large log has a line each.
const IN_FULL: usize = 3;

impl Summary {
    /// The summary as text for a terminal of 80 columns or more.
    pub fn render(&self, ink: Ink) -> String {
        let mut text = self.report.to_string();
        for person in self.people.iter().take(IN_FULL) {
            text.push('\n');
            text += &person.render(ink);
        }
        if self.people.len() > IN_FULL {
            text.push('\n');
            for person in &self.people[IN_FULL..] {
                line(&mut text, person, ink);
            }
        }
        if !self.across.is_empty() {
            let level = self.across[0].quartiles[1].level * 100.0;
            let _ = writeln!(text, "\nBetween participants: quartile, median, quartile [{level:.0} % interval]");
            for across in &self.across {
                let quartiles: Vec<String> = across.quartiles.iter().map(number).collect();
                let n = across.participants;
                let why = across.quartiles[1].reason.as_ref().map_or(String::new(), |reason| format!("; {reason}"));
                let quartiles = quartiles.join("   ");
                let _ = writeln!(text, "  {:<20} {quartiles} (unit: participant, n = {n}{why})", across.quantity);
            }
        }
        text
    }
}

fn line(text: &mut String, person: &PersonSummary, ink: Ink) {
    let shown = |value: Option<f64>| value.map_or("–".to_owned(), |value| format!("{value:.0}"));
    let _ = writeln!(
        text,
        "  {:<16} {:>8} presses, dwell {:>4} ms, interval {:>4} ms  {}",
        person.participant.chars().take(16).collect::<String>(),
        person.presses,
        shown(person.dwell_ms.median()),
        shown(person.interval_ms.median()),
        person.dwell_histogram.line(ink),
    );
}

impl PersonSummary {
    /// One person's part of the summary.
    pub fn render(&self, ink: Ink) -> String {
        let mut text = String::new();
        let s = if self.sessions == 1 { "" } else { "s" };
        let name = self.participant.escape_debug();
        let _ = writeln!(text, "{name}: {} presses in {} session{s}", self.presses, self.sessions);
        if let Some(step) = self.clock_step_us {
            let _ = writeln!(text, "  clock step {} ms", step as f64 / 1e3);
        }
        if self.intents != (0, 0) {
            let _ = writeln!(text, "  stated intents: {} holds, {} taps", self.intents.0, self.intents.1);
        }
        let mut said = String::new();
        for (name, quantiles) in [
            ("dwell", &self.dwell_ms),
            ("interval", &self.interval_ms),
            ("lull", &self.lull_ms),
            ("overlap", &self.overlap_ms),
        ] {
            quantile_rows(&mut text, &mut said, name, quantiles);
        }
        for (name, estimate) in
            [("rollover, share of presses", &self.rollover), ("keys a minute", &self.keys_per_minute)]
        {
            let _ = writeln!(text, "  {name}: {}", number(estimate));
            say_once(&mut text, &mut said, estimate);
        }
        for (name, histogram) in [("dwell", &self.dwell_histogram), ("lull", &self.lull_histogram)] {
            if histogram.total() > 0 {
                let _ = writeln!(text, "  {name}");
                text += &histogram.bars("ms", CELLS, ink);
            }
        }
        text
    }
}

fn quantile_rows(text: &mut String, said: &mut String, name: &str, quantiles: &Quantiles) {
    if quantiles.count == 0 {
        let _ = writeln!(text, "  {name}: none in the log");
        return;
    }
    let shown: Vec<String> =
        quantiles.at.iter().map(|(p, estimate)| format!("{:.0} % {}", p * 100.0, number(estimate))).collect();
    let _ = writeln!(text, "  {name}, ms (n = {})\n    {}", quantiles.count, shown.join("  "));
    if let Some((_, middle)) = quantiles.at.get(quantiles.at.len() / 2) {
        say_once(text, said, middle);
    }
}

/// Says how an interval came about, unless the line before it said the same.
fn say_once(text: &mut String, said: &mut String, estimate: &Estimate) {
    let grounds = grounds(estimate);
    if *said != grounds {
        let _ = writeln!(text, "    {grounds}");
        *said = grounds;
    }
}

/// How an interval came about, or why there is none.
fn grounds(estimate: &Estimate) -> String {
    match (estimate.interval(), &estimate.reason) {
        (Some(_), _) => {
            format!("{:.0} % {}, unit: {}, n = {}", estimate.level * 100.0, estimate.method, estimate.unit, estimate.n)
        }
        (None, Some(reason)) => format!("no interval: {reason}"),
        (None, None) => "no interval".to_owned(),
    }
}

fn number(estimate: &Estimate) -> String {
    let short = |value: f64| {
        if value.abs() < 10.0 { format!("{value:.2}") } else { format!("{value:.0}") }
    };
    match (estimate.value, estimate.interval()) {
        (None, _) => "unknown".to_owned(),
        (Some(value), None) => short(value),
        (Some(value), Some(interval)) => format!("{} [{}, {}]", short(value), short(interval.lo), short(interval.hi)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::summarise;
    use super::*;
    use crate::{LogLayout, read_bytes};
    use agogic_keys::{Purpose, stream};
    use agogic_stats::Level;
    use rand::RngExt;

    fn log(people: usize, presses: u64) -> crate::Log {
        let mut text = "participant,session,code,press_ms,release_ms\n".to_owned();
        for person in 0..people {
            let mut rng = stream(9, Purpose::Design, person as u64, 0);
            let mut now = 0;
            for i in 0..presses {
                now += rng.random_range(90..300) + if i % 97 == 0 { 8000 } else { 0 };
                let name = ["KeyA", "KeyK", "KeyE", "Space", "KeyT"][i as usize % 5];
                let _ = writeln!(text, "p{person},1,{name},{now},{}", now + rng.random_range(50..160));
            }
        }
        let _ = writeln!(text, "p0,1,KeyÄ,5,9");
        let log = read_bytes(text.as_bytes(), &LogLayout::preset("pairs-ms").unwrap()).unwrap();
        assert_eq!(log.report.count(crate::DefectKind::UnknownCode), 1);
        log
    }

    #[test]
    fn a_summary_says_numbers_units_methods_and_defects() {
        let summary = summarise(&log(5, 1500), Level::P95);
        let text = summary.render(Ink::Blocks);
        for part in [
            "dwell, ms (n = 1500)",
            "95 % quantile, limits from the share below it over blocks, unit: block of 50 presses, n = 30",
            "clock step 1 ms",
            "rollover, share of presses: 0.0",
            "unknown-code: 1 (line 7502), first `KeyÄ`",
            "(unit: participant, n = 5; too few units for either limit at this level)",
            "█",
        ] {
            assert!(text.contains(part), "no {part:?} in:\n{text}");
        }
        assert!(text.lines().all(|line| line.chars().count() <= 130), "{text}");
        assert!(summary.render(Ink::Ascii).contains("##"));
    }

    #[test]
    fn a_short_log_says_why_there_are_no_intervals() {
        let text = summarise(&log(1, 30), Level::P95).render(Ink::Blocks);
        assert!(text.contains("no interval: fewer than 20 blocks"), "{text}");
        assert!(!text.contains("Between participants"), "{text}");
    }

    #[test]
    fn a_person_is_summarised_the_same_whoever_else_is_in_the_log() {
        let (two, five) = (summarise(&log(2, 1200), Level::P95), summarise(&log(5, 1200), Level::P95));
        assert_eq!(two.people[1], five.people[1]);
    }
}
