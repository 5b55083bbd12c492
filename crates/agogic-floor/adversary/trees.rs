//! Gradient boosted trees for two classes: a strong learner that shares nothing with the observer.
//!
//! # Source
//! Friedman 2001, Annals of Statistics 29:1189, with the second-order steps and histograms that are usual since
//! (from memory). Compared with scikit-learn's on the same encounters; see `README.md` beside this file.

/// Bins of a feature: quantiles of what is learned from.
const BINS: usize = 64;

/// Levels of splits in a tree.
const DEPTH: usize = 6;

/// How much of each tree is taken.
const RATE: f64 = 0.08;

/// Added to the curvature of each leaf, and the least curvature of a leaf.
const RIDGE: f64 = 1.0;
const LEAST: f64 = 2.0;

/// A split, or the value of a leaf.
enum Node {
    Split { feature: usize, bin: u8, below: usize, above: usize },
    Leaf(f64),
}

/// Boosted trees: log odds of a hold from the features of a press.
pub struct Trees {
    edges: Vec<Vec<f64>>,
    base: f64,
    trees: Vec<Vec<Node>>,
}

fn bin(edges: &[f64], value: f64) -> u8 {
    edges.partition_point(|edge| *edge <= value) as u8
}

/// Upper edges of the bins of one feature.
fn edges(rows: &[Vec<f64>], feature: usize) -> Vec<f64> {
    let mut values: Vec<f64> = rows.iter().map(|row| row[feature]).collect();
    values.sort_by(f64::total_cmp);
    let mut edges: Vec<f64> = (1..BINS).map(|k| values[k * (values.len() - 1) / BINS]).collect();
    // Few values are all told apart.
    let mut all = values;
    all.dedup();
    if all.len() <= BINS {
        edges = all[1..].to_vec();
    }
    edges.dedup();
    edges
}

/// What one tree learns from: bins by feature, and slope and curvature of the loss of each press.
struct Step<'a> {
    columns: &'a [Vec<u8>],
    slopes: &'a [[f64; 2]],
}

impl Step<'_> {
    fn sum(&self, members: &[u32]) -> [f64; 2] {
        members.iter().fold([0.0; 2], |s, &i| {
            let [g, h] = self.slopes[i as usize];
            [s[0] + g, s[1] + h]
        })
    }

    /// The split that lowers the loss most.
    fn best(&self, members: &[u32], [g, h]: [f64; 2]) -> Option<(usize, u8)> {
        let score = |g: f64, h: f64| g * g / (h + RIDGE);
        let mut best = (score(g, h) + 1e-6, None);
        for (feature, column) in self.columns.iter().enumerate() {
            let mut histogram = [[0.0; 2]; BINS];
            for &i in members {
                let ([g, h], cell) = (self.slopes[i as usize], &mut histogram[column[i as usize] as usize]);
                *cell = [cell[0] + g, cell[1] + h];
            }
            let (mut left_g, mut left_h) = (0.0, 0.0);
            for (bin, cell) in histogram.iter().enumerate().take(BINS - 1) {
                left_g += cell[0];
                left_h += cell[1];
                if left_h < LEAST || h - left_h < LEAST {
                    continue;
                }
                let gain = score(left_g, left_h) + score(g - left_g, h - left_h);
                if gain > best.0 {
                    best = (gain, Some((feature, bin as u8)));
                }
            }
        }
        best.1
    }

    /// Grows a node from its members; gives its place in the tree.
    fn grow(&self, tree: &mut Vec<Node>, members: &mut [u32], levels: usize) -> usize {
        let sum = self.sum(members);
        let at = tree.len();
        tree.push(Node::Leaf(-RATE * sum[0] / (sum[1] + RIDGE)));
        let split = if levels > 0 { self.best(members, sum) } else { None };
        let Some((feature, bin)) = split else { return at };
        let column = &self.columns[feature];
        let mut first_above = 0;
        for i in 0..members.len() {
            if column[members[i] as usize] <= bin {
                members.swap(i, first_above);
                first_above += 1;
            }
        }
        let (low, high) = members.split_at_mut(first_above);
        let below = self.grow(tree, low, levels - 1);
        let above = self.grow(tree, high, levels - 1);
        tree[at] = Node::Split { feature, bin, below, above };
        at
    }
}

fn value(tree: &[Node], bin_of: impl Fn(usize) -> u8) -> f64 {
    let mut at = 0;
    loop {
        match &tree[at] {
            Node::Leaf(value) => return *value,
            Node::Split { feature, bin, below, above } => at = if bin_of(*feature) <= *bin { *below } else { *above },
        }
    }
}

impl Trees {
    /// Learns from presses: features, and whether each was a hold.
    pub fn learn(rows: &[Vec<f64>], holds: &[bool], rounds: usize) -> Self {
        let features = rows[0].len();
        let edges: Vec<Vec<f64>> = (0..features).map(|feature| edges(rows, feature)).collect();
        let column = |f: usize| rows.iter().map(|row| bin(&edges[f], row[f])).collect::<Vec<u8>>();
        let columns: Vec<Vec<u8>> = (0..features).map(column).collect();
        let share = holds.iter().filter(|hold| **hold).count() as f64 / holds.len() as f64;
        let base = libm::log(share / (1.0 - share));
        let mut odds = vec![base; rows.len()];
        let mut members: Vec<u32> = (0..rows.len() as u32).collect();
        let mut trees = Vec::with_capacity(rounds);
        for _ in 0..rounds {
            let slope = |(odds, hold): (&f64, &bool)| {
                let p = 1.0 / (1.0 + libm::exp(-odds));
                [p - f64::from(u8::from(*hold)), p * (1.0 - p)]
            };
            let slopes: Vec<[f64; 2]> = odds.iter().zip(holds).map(slope).collect();
            let mut tree = Vec::new();
            Step { columns: &columns, slopes: &slopes }.grow(&mut tree, &mut members, DEPTH);
            for (i, odds) in odds.iter_mut().enumerate() {
                *odds += value(&tree, |feature| columns[feature][i]);
            }
            trees.push(tree);
        }
        Self { edges, base, trees }
    }

    /// Log odds of a hold, in nats.
    pub fn log_odds(&self, row: &[f64]) -> f64 {
        let bins: Vec<u8> = self.edges.iter().zip(row).map(|(edges, value)| bin(edges, *value)).collect();
        self.trees.iter().fold(self.base, |odds, tree| odds + value(tree, |feature| bins[feature]))
    }
}
