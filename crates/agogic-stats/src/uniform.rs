//! Uniform draws, the same on every platform.

use rand::Rng;

/// A number strictly between 0 and 1, in steps of 2⁻⁵².
///
/// Built from whole numbers, so that no platform rounds it differently. The
/// ends are left out: a quantile function is finite at every draw.
pub(crate) fn open_unit<R: Rng + ?Sized>(rng: &mut R) -> f64 {
    ((rng.next_u64() >> 12) as f64 + 0.5) * (1.0 / (1u64 << 52) as f64)
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use rand::TryRng;

    use super::*;

    /// A generator stuck at one word.
    struct Stuck(u64);

    impl TryRng for Stuck {
        type Error = Infallible;

        fn try_next_u32(&mut self) -> Result<u32, Infallible> {
            Ok(self.0 as u32)
        }

        fn try_next_u64(&mut self) -> Result<u64, Infallible> {
            Ok(self.0)
        }

        fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
            bytes.fill(self.0 as u8);
            Ok(())
        }
    }

    #[test]
    fn the_ends_are_never_drawn() {
        let least = open_unit(&mut Stuck(0));
        let most = open_unit(&mut Stuck(u64::MAX));
        assert!(least > 0.0 && most < 1.0, "{least} {most}");
        assert_eq!(least, 1.0 - most);
    }
}
