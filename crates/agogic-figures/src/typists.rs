//! How the error differs between typists: the share of typists up to each rate.

use crate::axis::{Axis, Scale};
use crate::figure::Figure;
use crate::ink::Ink;
use crate::legend::{self, Entry, Swatch};
use crate::mark::{Mark, dashes};
use crate::panel::{self, Around, Panel};
use crate::reading;
use crate::scene::{Rect, Scene, Stroke};
use crate::words::{capital, opening, percent, sentences, short};
use crate::{FigureError, Width};

/// What the picture shows: the distribution over typists of a rate, under each policy.
#[derive(Clone, Debug, PartialEq)]
pub struct Typists {
    /// In a few words.
    pub title: String,
    /// What is counted, such as `false holds`.
    pub quantity: String,
    /// Its unit, such as `per 1000 taps`.
    pub unit: String,
    /// Population and text, for the caption.
    pub context: String,
    /// One curve each.
    pub policies: Vec<TypistRates>,
}

/// The rates of all typists under one policy.
#[derive(Clone, Debug, PartialEq)]
pub struct TypistRates {
    /// Its label.
    pub name: String,
    /// Which colour, mark and dashes: the same number means the same in every figure that stands beside this one.
    pub look: usize,
    /// A rate for each typist who had an opportunity, in any order.
    pub rates: Vec<f64>,
    /// How many typists had none and so have no rate.
    pub without_opportunity: usize,
}

impl TypistRates {
    fn sorted(&self) -> Vec<f64> {
        let mut rates = self.rates.clone();
        rates.sort_by(f64::total_cmp);
        rates
    }

    /// The share of typists without a single error.
    fn zero_share(&self) -> f64 {
        self.rates.iter().filter(|r| **r == 0.0).count() as f64 / self.rates.len() as f64
    }
}

/// The least value that at least this share of typists does not exceed (inverse of the step curve drawn).
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let rank = (share * sorted.len() as f64).ceil().max(1.0) as usize;
    sorted[rank.min(sorted.len()) - 1]
}

const FIGURE: &str = "the distribution over typists";

impl Typists {
    /// Draws the picture.
    ///
    /// # Errors
    ///
    /// [`FigureError`] if there is no policy, a policy has no rates, or a rate is not finite or negative.
    pub fn draw(&self, width: Width) -> Result<Figure, FigureError> {
        reading::some(FIGURE, "policies", &self.policies)?;
        for policy in &self.policies {
            reading::some(FIGURE, "rates", &policy.rates)?;
            policy.rates.iter().try_for_each(|r| reading::rate(FIGURE, "a rate", &policy.name, *r))?;
        }
        let mut scene = Scene::new(width);
        let all: Vec<Vec<f64>> = self.policies.iter().map(TypistRates::sorted).collect();
        let what = format!("{} {}", self.quantity, self.unit);
        let values = all.iter().flatten().copied();
        let scale = Scale::from_zero_for(values.clone());
        let x = Axis::from_zero(scale, values, format!("{}{}", capital(&what), scale.words()));
        let y = Axis::new(Scale::Linear, 0.0, 100.0, "Typists at or below this rate (%)");
        let height = if width.narrow() { 0.7 } else { 0.45 } * scene.width;
        let style = |n: usize| Stroke::dashed(Ink::series(n), 1.2, dashes(n));
        let entry = |policy: &TypistRates| Entry {
            swatch: Swatch::Both { mark: Mark::series(policy.look), stroke: style(policy.look) },
            text: format!("{} ({} have none)", policy.name, percent(policy.zero_share())),
        };
        let entries: Vec<Entry> = self.policies.iter().map(entry).collect();
        let top = 1.0 + legend::draw(&mut scene, &entries, 1.0, 1.0, width.points() - 2.0) + 3.0;
        let area_top = top + panel::top_room(&scene, &y, scene.width);
        let area = Rect::new(panel::left_room(&scene, &y, height), area_top, scene.width - 6.0, area_top + height);
        let bottom = panel::bottom_room(&scene, &x, area.width(), Around::ALL);
        let panel = Panel::framed(&mut scene, area, x, y, Around::ALL);
        let looks: Vec<usize> = self.policies.iter().map(|policy| policy.look).collect();
        for (n, sorted) in looks.iter().zip(&all) {
            scene.line(panel.part, steps(&panel, sorted), style(*n));
        }
        for (&n, sorted) in looks.iter().zip(&all) {
            for share in [0.5, 0.95] {
                let at = panel.at(quantile(sorted, share), share * 100.0);
                scene.mark(panel.part, Mark::series(n), at, 2.8, Ink::series(n), true);
            }
        }
        scene.height = area.bottom + bottom + 2.0;
        Ok(Figure { title: capital(&self.title), caption: self.caption(), alt: self.alt(&all), width, scene })
    }

    fn caption(&self) -> String {
        let n = self.policies.iter().map(|p| p.rates.len()).max().unwrap_or(0);
        let curves = format!(
            "Each curve is the share of typists (at most {n}) whose own rate is at or below a value, with marks at the median \
             and the 95th percentile; the higher the better"
        );
        let without: Vec<String> = self
            .policies
            .iter()
            .filter(|p| p.without_opportunity > 0)
            .map(|p| format!("{} under {}", p.without_opportunity, p.name))
            .collect();
        let without = if without.is_empty() {
            String::new()
        } else {
            format!("Typists without an opportunity are left out: {}", without.join(", "))
        };
        sentences(&[&opening(&self.title, &self.context), &curves, &without])
    }

    fn alt(&self, sorted: &[Vec<f64>]) -> String {
        let describe = |(policy, rates): (&TypistRates, &Vec<f64>)| {
            format!(
                "{}: median {}, 95th percentile {}, {} of typists have none",
                policy.name,
                short(quantile(rates, 0.5)),
                short(quantile(rates, 0.95)),
                percent(policy.zero_share())
            )
        };
        let parts: Vec<String> = self.policies.iter().zip(sorted).map(describe).collect();
        let first = format!(
            "{} {} over typists, a curve for each of {} policies",
            capital(&self.quantity),
            self.unit,
            parts.len()
        );
        sentences(&[first, parts.join("; ")])
    }
}

/// The step curve, with no more corners than the eye can see.
fn steps(panel: &Panel, sorted: &[f64]) -> Vec<(f64, f64)> {
    let n = sorted.len() as f64;
    let mut points = vec![panel.at(0.0, 0.0)];
    for (i, rate) in sorted.iter().enumerate() {
        let last_of_equals = sorted.get(i + 1) != Some(rate);
        if !last_of_equals {
            continue;
        }
        let (x, y) = panel.at(*rate, 100.0 * (i + 1) as f64 / n);
        let (at, before) = points[points.len() - 1];
        let small = x - at < 0.3 && before - y < 0.3;
        if !small || i + 1 == sorted.len() {
            points.push((x, before));
            points.push((x, y));
        }
    }
    points.push((panel.area.right, panel.y_at(100.0)));
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_invert_the_step_curve() {
        let sorted = [0.0, 0.0, 1.0, 4.0];
        assert_eq!(quantile(&sorted, 0.5), 0.0);
        assert_eq!(quantile(&sorted, 0.51), 1.0);
        assert_eq!(quantile(&sorted, 0.95), 4.0);
        assert_eq!(quantile(&[3.0], 0.5), 3.0);
    }
}
