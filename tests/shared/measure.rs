//! How every benchmark of the workspace measures: shortly, and in CPU time.

use std::time::Duration;

use cpu_time::ThreadTime;
use criterion::Criterion;
use criterion::measurement::{Measurement, ValueFormatter, WallTime};

/// CPU time of the one thread that measures: what others do on the machine counts less.
pub struct CpuTime;

impl Measurement for CpuTime {
    type Intermediate = ThreadTime;
    type Value = Duration;

    fn start(&self) -> ThreadTime {
        ThreadTime::now()
    }

    fn end(&self, start: ThreadTime) -> Duration {
        start.elapsed()
    }

    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        *a + *b
    }

    fn zero(&self) -> Duration {
        Duration::ZERO
    }

    fn to_f64(&self, value: &Duration) -> f64 {
        value.as_nanos() as f64
    }

    fn formatter(&self) -> &dyn ValueFormatter {
        WallTime.formatter()
    }
}

/// Half a second to warm up, one to measure, 20 samples, no plots. `--measurement-time` and `--sample-size` ask for
/// more. Changes below 5 % are called noise: caches and cores are shared with whatever else runs.
pub fn short() -> Criterion<CpuTime> {
    Criterion::default()
        .without_plots()
        .sample_size(20)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(1))
        .noise_threshold(0.05)
        .with_measurement(CpuTime)
}
