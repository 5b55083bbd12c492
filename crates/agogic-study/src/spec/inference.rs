//! The table `[inference]`: how results are estimated, and what they are held against.

use agogic_stats::Level;
use agogic_toml::{Diagnostics, Found, Section, hint};

use crate::{ESTIMANDS, EstimandInfo, Inference, IntervalMethod, Line};

/// Resamples accepted: fewer give no 99 % interval, more only take time.
const RESAMPLES: std::ops::RangeInclusive<u64> = 200..=1_000_000;

/// The estimand that a study is about if its spec does not say.
const PRIMARY: &str = "wrong_keys";

/// The table as it stands, before the reference policy is looked up.
pub(super) struct Draft {
    level: Option<Level>,
    reference: Option<Found<String>>,
    interval: IntervalMethod,
    resamples: usize,
    limits: Vec<Line>,
    margins: Vec<Line>,
    /// The estimand that the study is about.
    pub primary: &'static EstimandInfo,
}

pub(super) fn read(section: Option<Section<'_, '_>>) -> Draft {
    let mut draft = Draft {
        level: Some(Level::P95),
        reference: None,
        interval: IntervalMethod::Default,
        resamples: Inference::RESAMPLES,
        limits: Vec::new(),
        margins: Vec::new(),
        primary: EstimandInfo::by_name(PRIMARY).expect("a name of our own table"),
    };
    let Some(section) = section else { return draft };
    let log = section.diagnostics();
    if let Some(found) = section.number("level") {
        draft.level = Level::new(found.value)
            .map_err(|_| log.at(&found, format!("must lie between 0 and 1, such as 0.95, not {}", found.value)))
            .ok();
    }
    if let Some(found) = section.text("interval") {
        match IntervalMethod::by_name(&found.value) {
            Some(method) => draft.interval = method,
            None => {
                let names = IntervalMethod::NAMES.map(|(name, _)| name).join(", ");
                log.at(&found, format!("no method `{}`; methods: {names}", found.value));
            }
        }
    }
    if let Some(found) = section.whole("resamples") {
        if RESAMPLES.contains(&found.value) {
            draft.resamples = found.value as usize;
        } else {
            let (lo, hi) = (RESAMPLES.start(), RESAMPLES.end());
            log.at(&found, format!("must lie between {lo} and {hi}, not {}", found.value));
        }
    }
    if let Some(found) = section.text("primary") {
        match named(&found.value) {
            Ok(info) if info.spread => draft.primary = info,
            Ok(_) => {
                let can: Vec<&str> = ESTIMANDS.iter().filter(|info| info.spread).map(|info| info.name).collect();
                let message = format!("`{}` is part of another estimand; name one of {}", found.value, can.join(", "));
                log.at(&found, message);
            }
            Err(refused) => log.at(&found, format!("`{}` {refused}", found.value)),
        }
    }
    draft.limits = lines(&section, "limits");
    draft.margins = lines(&section, "margins");
    draft.reference = section.text("reference");
    section.finish();
    draft
}

/// Values by estimand, such as `limits = { false_holds = 5 }`.
pub(super) fn lines(section: &Section<'_, '_>, key: &'static str) -> Vec<Line> {
    let mut lines = Vec::new();
    for found in section.numbers(key) {
        let (name, value) = &found.value;
        match named(name) {
            Ok(_) if !(*value > 0.0 && value.is_finite()) => {
                section.diagnostics().at(&found, format!("must lie above zero, not {value}"));
            }
            Ok(info) => lines.push(Line { info, value: *value }),
            Err(refused) => section.diagnostics().at(&found, refused),
        }
    }
    // The order of a table means nothing; that of the estimands does.
    lines.sort_by_key(|line| ESTIMANDS.iter().position(|info| info.name == line.info.name));
    lines
}

pub(super) fn named(name: &str) -> Result<&'static EstimandInfo, String> {
    ESTIMANDS.iter().find(|info| info.name == name).ok_or_else(|| {
        let names: Vec<&str> = ESTIMANDS.iter().map(|info| info.name).collect();
        let hint = hint(name, &names);
        format!("is no estimand{hint} (estimands: {})", names.join(", "))
    })
}

impl Draft {
    /// The table with its comparisons; `None` only where a mistake was logged.
    ///
    /// `named` holds, for each label, the policy it asks to be compared with.
    pub fn resolve(self, log: &Diagnostics, labels: &[String], named: &[Option<Found<String>>]) -> Option<Inference> {
        let find = |found: &Found<String>| {
            let at = labels.iter().position(|label| *label == found.value);
            if at.is_none() && !labels.is_empty() {
                log.at(found, format!("no policy has the label `{}`", found.value));
            }
            at
        };
        let reference = self.reference.as_ref().map_or(Some(0), find);
        let versus: Vec<Option<usize>> =
            (0..labels.len()).map(|at| named.get(at)?.as_ref().map_or(reference, find)).collect();
        Some(Inference {
            level: self.level?,
            versus: versus.into_iter().collect::<Option<_>>()?,
            interval: self.interval,
            resamples: self.resamples,
            limits: self.limits,
            margins: self.margins,
        })
    }
}
