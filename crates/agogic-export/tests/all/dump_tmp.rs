use crate::common::*;
use agogic_export::*;
#[test]
fn dump_tmp() {
    for (at, s) in settings().iter().enumerate() {
        for clock in [Clock::Microseconds, Clock::Milliseconds] {
            let m = machine(s, clock, 8);
            let d = format!("/tmp/exp/{}-{}-{}", s.entry().name, at % 6, clock.name());
            std::fs::create_dir_all(&d).unwrap();
            for (n, t) in sources(&m) { std::fs::write(format!("{d}/{n}"), t).unwrap(); }
        }
    }
}
