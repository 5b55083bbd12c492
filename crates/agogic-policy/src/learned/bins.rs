//! Time in bins that grow with it, four to the octave.

/// How many bins there are.
pub const BINS: usize = 30;

/// The first edge is 2 to this power, in µs: 8.192 ms.
const FIRST_OCTAVE: u32 = 13;

/// The bin of a time in µs.
///
/// # Definition
/// Bin 0 reaches up to 8.192 ms, the edge included. From there each octave is cut into four bins of equal
/// length, up to 1.048576 s; the last bin holds all that is longer. A bin contains its upper edge, not its
/// lower one, so that at the instant of an edge (a deadline) every event of that instant lies below it.
///
/// A count of leading zeros, a shift and a mask are all a microcontroller needs for it.
#[inline]
pub const fn bin_of(us: i64) -> usize {
    if us <= 1 << FIRST_OCTAVE {
        return 0;
    }
    let below = (us - 1) as u64;
    let octave = below.ilog2();
    let quarter = (below >> (octave - 2)) & 3;
    let bin = 1 + (octave - FIRST_OCTAVE) as usize * 4 + quarter as usize;
    if bin < BINS { bin } else { BINS - 1 }
}

/// The upper edge of a bin in µs; `None` for the last bin and beyond.
#[inline]
pub const fn upper_edge(bin: usize) -> Option<i64> {
    if bin == 0 {
        return Some(1 << FIRST_OCTAVE);
    }
    if bin >= BINS - 1 {
        return None;
    }
    let octave = FIRST_OCTAVE + (bin as u32 - 1) / 4;
    let quarter = (bin as i64 - 1) % 4;
    Some((5 + quarter) << (octave - 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_edge_belongs_to_the_bin_below_it() {
        for bin in 0..BINS - 1 {
            let edge = upper_edge(bin).unwrap();
            assert_eq!((bin_of(edge), bin_of(edge + 1)), (bin, bin + 1), "{edge}");
        }
        assert_eq!(upper_edge(BINS - 1), None);
    }

    #[test]
    fn the_edges_are_those_of_the_definition() {
        let edges: Vec<_> = (0..5).map(|bin| upper_edge(bin).unwrap()).collect();
        assert_eq!(edges, [8192, 10240, 12288, 14336, 16384]);
        assert_eq!(upper_edge(BINS - 2), Some(1_048_576));
        assert_eq!((bin_of(-5), bin_of(0), bin_of(1), bin_of(i64::MAX)), (0, 0, 0, BINS - 1));
    }
}
