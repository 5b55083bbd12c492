//! Small plots for a terminal.

use serde::Serialize;

/// What bars are drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Block characters, to an eighth of a cell.
    Blocks,
    /// ASCII alone, for terminals and files that have nothing else.
    Ascii,
}

/// How often times fall into classes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Histogram {
    /// The bounds of the classes, ascending; one more than there are classes. A class holds its lower
    /// bound and not its upper one.
    pub bounds: Vec<f64>,
    /// How many fall into each.
    pub counts: Vec<u64>,
    /// How many lie below the first bound.
    pub below: u64,
    /// How many lie at or above the last.
    pub above: u64,
}

impl Histogram {
    /// Classes of equal ratio between two bounds: right for times, which are skewed.
    ///
    /// # Undefined
    /// Values that are not finite are counted above.
    pub fn of_ratios(values: impl Iterator<Item = f64>, low: f64, high: f64, classes: usize) -> Self {
        let ratio = (high / low).ln() / classes as f64;
        let bounds: Vec<f64> = (0..=classes).map(|i| low * (ratio * i as f64).exp()).collect();
        let mut histogram = Self { counts: vec![0; classes], bounds, below: 0, above: 0 };
        for value in values {
            // Found among the bounds themselves, so that rounding of a logarithm cannot misplace it.
            match histogram.bounds.partition_point(|bound| *bound <= value) {
                0 if value.is_nan() => histogram.above += 1,
                0 => histogram.below += 1,
                place if place > classes => histogram.above += 1,
                place => histogram.counts[place - 1] += 1,
            }
        }
        histogram
    }

    /// All that was counted.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum::<u64>() + self.below + self.above
    }

    /// One bar a line: class, bar, count. Empty classes at both ends are left out.
    pub fn bars(&self, unit: &str, cells: usize, ink: Ink) -> String {
        let most = self.counts.iter().copied().chain([self.below, self.above]).max().unwrap_or(0);
        let bound = |place: usize| format!("{:.0}", self.bounds[place]);
        let classes = self.counts.len();
        let mut rows = vec![(format!("< {} {unit}", bound(0)), self.below)];
        for (place, count) in self.counts.iter().enumerate() {
            let dash = if ink == Ink::Blocks { '–' } else { '-' };
            rows.push((format!("{}{dash}{} {unit}", bound(place), bound(place + 1)), *count));
        }
        let at_least = if ink == Ink::Blocks { "≥" } else { ">=" };
        rows.push((format!("{at_least} {} {unit}", bound(classes)), self.above));
        let first = rows.iter().position(|(_, count)| *count > 0);
        let last = rows.iter().rposition(|(_, count)| *count > 0);
        let (Some(first), Some(last)) = (first, last) else { return String::new() };
        let width = rows.iter().map(|(label, _)| label.chars().count()).max().unwrap_or(0);
        let edge = if ink == Ink::Blocks { '│' } else { '|' };
        let mut text = String::new();
        for (label, count) in &rows[first..=last] {
            let bar = bar(*count, most, cells, ink);
            text += &format!("{label:>width$} {edge}{bar} {count}\n");
        }
        text
    }

    /// The shape in one line, a character a class.
    pub fn line(&self, ink: Ink) -> String {
        let steps: &[char] = match ink {
            Ink::Blocks => &[' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'],
            Ink::Ascii => &[' ', '.', ':', '-', '=', '+', '*', '#', '@'],
        };
        let most = self.counts.iter().copied().max().unwrap_or(0).max(1);
        // What is there shows, however little it is.
        let step = |count: u64| (count * 8).div_ceil(most) as usize;
        self.counts.iter().map(|count| steps[step(*count)]).collect()
    }
}

fn bar(count: u64, most: u64, cells: usize, ink: Ink) -> String {
    let most = most.max(1);
    match ink {
        Ink::Ascii => "#".repeat((u128::from(count) * cells as u128).div_ceil(u128::from(most)) as usize),
        Ink::Blocks => {
            let eighths = (u128::from(count) * cells as u128 * 8).div_ceil(u128::from(most)) as usize;
            let mut bar = "█".repeat(eighths / 8);
            bar.extend(['▏', '▎', '▍', '▌', '▋', '▊', '▉'].get((eighths % 8).wrapping_sub(1)));
            bar
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times() -> Histogram {
        let values = [5.0, 20.0, 39.0, 40.0, 41.0, 79.0, 160.0, f64::NAN, f64::INFINITY];
        Histogram::of_ratios(values.into_iter(), 20.0, 160.0, 3)
    }

    #[test]
    fn every_value_is_in_one_class() {
        let histogram = times();
        assert_eq!((histogram.below, histogram.above), (1, 3));
        assert_eq!(histogram.counts, [2, 3, 0]);
        assert_eq!(histogram.total(), 9);
        assert_eq!(Histogram::of_ratios([].into_iter(), 1.0, 2.0, 2).bars("ms", 9, Ink::Blocks), "");
    }

    #[test]
    fn bars_show_what_little_there_is_and_never_more_than_their_cells() {
        let drawn = times().bars("ms", 4, Ink::Blocks);
        assert_eq!(drawn, "  < 20 ms │█▍ 1\n 20–40 ms │██▊ 2\n 40–80 ms │████ 3\n80–160 ms │ 0\n ≥ 160 ms │████ 3\n");
        let ascii = times().bars("ms", 3, Ink::Ascii);
        assert!(ascii.is_ascii() && ascii.contains("20-40 ms |## 2"), "{ascii}");
        assert_eq!(bar(1, u64::MAX, 10, Ink::Blocks), "▏");
        assert_eq!(bar(u64::MAX, u64::MAX, 10, Ink::Blocks), "█".repeat(10));
    }

    #[test]
    fn a_line_is_one_character_a_class() {
        assert_eq!(times().line(Ink::Blocks), "▆█ ");
        assert!(times().line(Ink::Ascii).is_ascii());
    }
}
