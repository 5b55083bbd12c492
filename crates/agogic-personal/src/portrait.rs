//! Whom a person resembles.

use agogic_fit::{Fit, TraitFit};
use agogic_typist::TRAITS;
use serde::Serialize;

/// A trait counts as the log's where the log has done away with so much of the spread between people.
const TOLD_BY_LOG: f64 = 0.5;

/// Distance from the middle of a population, in standard deviations between people, from which a trait is unusual: one
/// person in twenty lies so far out. Assumed.
const UNUSUAL: f64 = 2.0;

/// A trait in which a person is unlike most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnusualTrait {
    /// Its name.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The person's value.
    pub value: f64,
    /// The population's median.
    pub population_median: f64,
    /// Distance from it in standard deviations between people.
    pub distance: f64,
}

/// Whom a person resembles.
#[derive(Clone, Debug, Serialize)]
pub struct Portrait {
    /// The populations compared with, nearest first, each with the log density of the person's traits there.
    pub populations: Vec<(String, f64)>,
    /// The population that was chosen.
    pub chosen: String,
    /// Traits on which the comparison stands: those which the log tells under every population.
    pub traits: usize,
    /// Traits in which the person is unlike the chosen population.
    pub unusual: Vec<UnusualTrait>,
}

impl Portrait {
    /// Compares a person, fitted as one of several populations; the first of these is the chosen one.
    ///
    /// # Definition
    /// Of every trait which the log tells (its weight is at least one half under each population) the density of the
    /// person's value under a population is normal on the trait's scale; densities of traits are multiplied.
    ///
    /// # Panics
    /// Without a fit.
    pub fn of(fits: &[Fit]) -> Self {
        let told: Vec<usize> =
            (0..TRAITS.len()).filter(|at| fits.iter().all(|fit| fit.traits[*at].weight >= TOLD_BY_LOG)).collect();
        let mut populations: Vec<(String, f64)> = fits
            .iter()
            .map(|fit| {
                let density = |at: &usize| {
                    let own = &fit.traits[*at];
                    -0.5 * distance(own).powi(2) - own.population_spread.ln()
                };
                (fit.population.clone(), told.iter().map(density).sum())
            })
            .collect();
        populations.sort_by(|a, b| b.1.total_cmp(&a.1));
        let chosen = &fits[0];
        let unusual = told
            .iter()
            .map(|at| &chosen.traits[*at])
            .filter(|own| distance(own).abs() > UNUSUAL)
            .map(|own| UnusualTrait {
                name: own.name,
                unit: own.unit,
                value: value(own),
                population_median: own.population_median,
                distance: distance(own),
            })
            .collect();
        Self { populations, chosen: chosen.population.clone(), traits: told.len(), unusual }
    }

    /// The population that the person resembles most; `None` where the log tells no trait.
    pub fn nearest(&self) -> Option<&str> {
        (self.traits > 0).then(|| self.populations[0].0.as_str())
    }

    /// In plain words.
    pub fn sentence(&self) -> String {
        let Some(nearest) = self.nearest() else {
            return "The log is too short to say whom this person resembles.".to_owned();
        };
        let mut text = if nearest == self.chosen {
            format!("Of the populations compared this person resembles `{nearest}` most.")
        } else {
            format!(
                "This person resembles `{nearest}` more than `{}`, who stand in for what the log leaves unknown: name an \
                 arm of `{nearest}` with --arm.",
                self.chosen
            )
        };
        if !self.unusual.is_empty() {
            let of = |own: &UnusualTrait| {
                let unit = if own.unit.is_empty() { String::new() } else { format!(" {}", own.unit) };
                let (value, median) = (digits(own.value), digits(own.population_median));
                format!("{} {value}{unit} (median {median})", own.name.trim_end_matches("_ms").replace('_', " "))
            };
            let all: Vec<String> = self.unusual.iter().map(of).collect();
            text.push_str(&format!(" Unlike most of `{}`: {}.", self.chosen, all.join(", ")));
        }
        text
    }
}

fn digits(value: f64) -> String {
    match value.abs() {
        size if size >= 100.0 => format!("{value:.0}"),
        size if size >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

/// What the log alone says, where it says something.
fn value(own: &TraitFit) -> f64 {
    own.likeliest.value.unwrap_or(own.value)
}

fn distance(own: &TraitFit) -> f64 {
    let scale = TRAITS[own.id as usize].scale;
    let (value, median) = (scale.to_normal(value(own)), scale.to_normal(own.population_median));
    let distance = (value - median) / own.population_spread;
    if distance.is_finite() { distance.clamp(-9.0, 9.0) } else { 0.0 }
}
