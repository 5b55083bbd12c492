use crate::common::*;
use agogic_export::*;
#[test]
fn dump_tmp() {
    let extra = setting(agogic_policy::rule("overlap-share").unwrap(), 0).with_guards(guards([true; 5]));
    for c in [Clock::Microseconds, Clock::Milliseconds] { let m = machine(&extra, c, 8); let d = format!("/tmp/exp/overlap-share-x-{}", c.name()); std::fs::create_dir_all(&d).unwrap(); for (n, t) in sources(&m) { std::fs::write(format!("{d}/{n}"), t).unwrap(); } }
    for (at, s) in settings().iter().enumerate() {
        for clock in [Clock::Microseconds, Clock::Milliseconds] {
            let m = machine(s, clock, 8);
            let d = format!("/tmp/exp/{}-{}-{}", s.entry().name, at % 6, clock.name());
            std::fs::create_dir_all(&d).unwrap();
            for (n, t) in sources(&m) { std::fs::write(format!("{d}/{n}"), t).unwrap(); }
        }
    }
}
