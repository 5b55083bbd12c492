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
}

impl Mark {
    const SERIES: [Self; 7] =
        [Self::Circle, Self::Square, Self::Up, Self::Diamond, Self::Down, Self::Plus, Self::Cross];

    /// The mark of series `n`.
    pub(crate) fn series(n: usize) -> Self {
        Self::SERIES[n % Self::SERIES.len()]
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

/// How lines of series differ. With seven marks, ten inks and four dashes the whole look of a line comes back only
/// after 140 series.
pub(crate) fn dashes(n: usize) -> &'static [f64] {
    const DASHES: [&[f64]; 4] = [&[], &[5.0, 2.0], &[1.5, 1.5], &[6.0, 1.5, 1.5, 1.5]];
    DASHES[n % DASHES.len()]
}
