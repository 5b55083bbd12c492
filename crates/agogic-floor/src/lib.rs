//! floor
mod curve;
mod distance;
mod kinds;
mod likelihood;
mod model;
mod observer;
mod odds;
mod rehearsal;
mod seen;
mod table;
pub use curve::{FloorCurve, FloorPoint};
pub use distance::{FloorDistance, PairedErrors, floor_distance};
pub use observer::{MOST_NATS, PopulationObserver, Sight, Stage, TypistObserver};
pub use odds::OddsCounts;
