//! The shapes of marks, so that no difference rests on colour alone.

/// A mark's shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    Circle,
    Square,
    Diamond,
    Up,
    Down,
    Right,
    Left,
    Cross,
    Plus,
    Star,
}

impl Mark {
    const SERIES: [Self; 10] = [
        Self::Circle,
        Self::Square,
        Self::Up,
        Self::Diamond,
        Self::Down,
        Self::Plus,
        Self::Cross,
        Self::Right,
        Self::Star,
        Self::Left,
    ];

    /// The mark of series `n`. There are as many as inks; where both begin again, each ink gets the next mark.
    pub(crate) fn series(n: usize) -> Self {
        let count = Self::SERIES.len();
        Self::SERIES[(n + n / count) % count]
    }

    /// The corners for a mark of area like that of a circle of `radius`; none for a circle.
    pub(crate) fn corners(self, (x, y): (f64, f64), radius: f64) -> Vec<(f64, f64)> {
        let r = radius;
        let turn = |points: &[(f64, f64)]| points.iter().map(|(dx, dy)| (x + dx * r, y + dy * r)).collect();
        match self {
            Self::Circle => Vec::new(),
            Self::Square => turn(&[(-0.89, -0.89), (0.89, -0.89), (0.89, 0.89), (-0.89, 0.89)]),
            Self::Diamond => turn(&[(0.0, -1.25), (1.25, 0.0), (0.0, 1.25), (-1.25, 0.0)]),
            Self::Up => turn(&[(0.0, -1.25), (1.2, 0.9), (-1.2, 0.9)]),
            Self::Down => turn(&[(0.0, 1.25), (1.2, -0.9), (-1.2, -0.9)]),
            Self::Right => turn(&[(1.25, 0.0), (-0.9, 1.2), (-0.9, -1.2)]),
            Self::Left => turn(&[(-1.25, 0.0), (0.9, 1.2), (0.9, -1.2)]),
            Self::Star => turn(&star()),
            Self::Plus => turn(&plus()),
            // A plus turned by an eighth of a circle.
            Self::Cross => {
                let s = std::f64::consts::FRAC_1_SQRT_2;
                let points: Vec<(f64, f64)> = plus().iter().map(|(a, b)| ((a - b) * s, (a + b) * s)).collect();
                turn(&points)
            }
        }
    }
}

fn plus() -> [(f64, f64); 12] {
    let (a, b) = (0.38, 1.25);
    [(-a, -b), (a, -b), (a, -a), (b, -a), (b, a), (a, a), (a, b), (-a, b), (-a, a), (-b, a), (-b, -a), (-a, -a)]
}

/// Five points, the inner corners at four ninths of the way to the outer ones.
fn star() -> [(f64, f64); 10] {
    std::array::from_fn(|i| {
        let (reach, angle) = (if i % 2 == 0 { 1.25 } else { 0.55 }, i as f64 * std::f64::consts::TAU / 10.0);
        (reach * angle.sin(), -reach * angle.cos())
    })
}

/// How lines of series differ. Ten inks and ten marks in all pairs: the whole look comes back only after 100 series.
pub(crate) fn dashes(n: usize) -> &'static [f64] {
    const DASHES: [&[f64]; 4] = [&[], &[5.0, 2.0], &[1.5, 1.5], &[6.0, 1.5, 1.5, 1.5]];
    DASHES[n % DASHES.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Ink;

    #[test]
    fn series_differ_in_ink_and_in_mark_and_pairs_of_both_come_back_late() {
        for n in 0..10 {
            for other in 0..n {
                assert!(Ink::series(n) != Ink::series(other) && Mark::series(n) != Mark::series(other), "{n} {other}");
            }
        }
        let looks = |n: usize| (Ink::series(n), Mark::series(n));
        assert!((0..100).all(|n| (0..n).all(|other| looks(n) != looks(other))));
        assert_eq!(looks(100), looks(0));
    }
}
