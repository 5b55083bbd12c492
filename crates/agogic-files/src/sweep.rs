//! The folder of a sweep: every setting with its estimates, and the front.

use agogic_stats::Estimate;
use polars::prelude::*;

use crate::csv_text::{ESTIMATE_COLUMNS, cautions_cell, cell, csv_of, estimate_cells};
use crate::folder::registers;
use crate::manifest::FolderKind;
use crate::read::{FolderError, ResultFolder};
use crate::records::{FloorRecord, floor_csv};
use crate::tables::{parquet, refused};
use agogic_lab::{Front, SweepResult, SweepRow};
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::{GOALS, Study};

impl ResultFolder {
    /// The folder of a sweep, without figures and page.
    ///
    /// # Errors
    /// The dataframe library refuses.
    pub fn of_sweep(study: &Study, result: &SweepResult) -> Result<Self, FileError> {
        let SweepRecord { rows, fronts, floor } = SweepRecord::of(result);
        let files = vec![
            ("sweep.parquet".to_owned(), sweep_parquet(&rows)?),
            ("sweep.csv".to_owned(), sweep_csv(&rows)?),
            ("sweep.json".to_owned(), to_json(&rows)),
            ("front.csv".to_owned(), front_csv(&fronts)?),
            ("front.json".to_owned(), to_json(&fronts)),
            ("floor.csv".to_owned(), floor_csv(&floor)?),
            ("register.json".to_owned(), to_json(&registers(study))),
        ];
        Ok(Self::new(FolderKind::Sweep, study, files))
    }
}

/// What the folder of a sweep holds of its result.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepRecord {
    /// Estimates: arm by arm, the policies first, then sweep by sweep and point by point.
    pub rows: Vec<SweepRow>,
    /// The trade-off in each arm.
    pub fronts: Vec<Front>,
    /// The ideal observer.
    pub floor: Vec<FloorRecord>,
}

impl SweepRecord {
    /// What is kept of a result.
    pub fn of(result: &SweepResult) -> Self {
        let floor = FloorRecord::all(result.arms.iter().map(|arm| (arm.label.as_str(), arm.floor.as_ref())));
        Self { rows: result.rows.clone(), fronts: result.fronts.clone(), floor }
    }

    /// Reads a result folder of `agogic sweep`.
    ///
    /// # Errors
    /// The folder holds another kind of result; a file is missing or has another form.
    pub fn read(folder: &ResultFolder) -> Result<Self, FolderError> {
        folder.must_be(FolderKind::Sweep)?;
        Ok(Self {
            rows: folder.json("sweep.json")?,
            fronts: folder.json("front.json")?,
            floor: folder.lines("floor.csv")?,
        })
    }
}

/// The most values that any row has.
fn width(rows: &[SweepRow]) -> usize {
    rows.iter().map(|row| row.values.len()).max().unwrap_or(0)
}

/// The names of what was swept, in the order of `value_1`, `value_2` and so on.
fn names(row: &SweepRow) -> String {
    row.values.iter().map(|(name, _)| &**name).collect::<Vec<_>>().join(";")
}

fn sweep_parquet(rows: &[SweepRow]) -> Result<Vec<u8>, FileError> {
    const FILE: &str = "sweep.parquet";
    let texts = |of: &dyn Fn(&SweepRow) -> String| rows.iter().map(of).collect::<Vec<_>>();
    let numbers = |of: &dyn Fn(&Estimate) -> Option<f64>| rows.iter().map(|r| of(&r.estimate)).collect::<Vec<_>>();
    let mut columns = vec![
        Column::new("arm".into(), texts(&|r| r.arm.clone())),
        Column::new("sweep".into(), texts(&|r| r.sweep.clone())),
        Column::new("point".into(), rows.iter().map(|r| r.point as u64).collect::<Vec<_>>()),
        Column::new("setting".into(), texts(&|r| r.setting.clone())),
        Column::new("swept".into(), texts(&names)),
    ];
    for at in 0..width(rows) {
        let values: Vec<Option<f64>> = rows.iter().map(|r| r.values.get(at).map(|(_, value)| *value)).collect();
        columns.push(Column::new(format!("value_{}", at + 1).into(), values));
    }
    columns.extend([
        Column::new("estimand".into(), texts(&|r| r.estimand.to_string())),
        Column::new("unit".into(), texts(&|r| r.unit.to_string())),
        Column::new("estimate".into(), numbers(&|e| e.value)),
        Column::new("estimate_mcse".into(), numbers(&|e| e.mcse)),
        Column::new("ci_lo".into(), numbers(&|e| e.lo)),
        Column::new("ci_hi".into(), numbers(&|e| e.hi)),
        Column::new("ci_level".into(), rows.iter().map(|r| r.estimate.level).collect::<Vec<_>>()),
        Column::new("ci_method".into(), texts(&|r| r.estimate.method.clone())),
        Column::new("resampling_unit".into(), texts(&|r| r.estimate.unit.clone())),
        Column::new("n".into(), rows.iter().map(|r| r.estimate.n).collect::<Vec<_>>()),
        Column::new("n_informative".into(), rows.iter().map(|r| r.estimate.informative).collect::<Vec<_>>()),
        Column::new("critical".into(), numbers(&|e| e.critical)),
        Column::new("critical_mcse".into(), numbers(&|e| e.critical_mcse)),
        Column::new("cautions".into(), rows.iter().map(|r| cautions_cell(&r.estimate)).collect::<Vec<_>>()),
        Column::new("reason".into(), rows.iter().map(|r| r.estimate.reason.clone()).collect::<Vec<_>>()),
    ]);
    parquet(DataFrame::new(rows.len(), columns).map_err(refused(FILE))?, FILE)
}

fn sweep_csv(rows: &[SweepRow]) -> Result<Vec<u8>, FileError> {
    let width = width(rows);
    let mut head: Vec<String> = ["arm", "sweep", "point", "setting", "swept"].map(str::to_owned).into();
    head.extend((1..=width).map(|at| format!("value_{at}")));
    head.extend(["estimand", "unit"].into_iter().chain(ESTIMATE_COLUMNS).map(str::to_owned));
    let line = |row: &SweepRow| {
        let mut cells =
            vec![row.arm.clone(), row.sweep.clone(), row.point.to_string(), row.setting.clone(), names(row)];
        cells.extend((0..width).map(|at| cell(row.values.get(at).map(|(_, value)| *value))));
        cells.extend([row.estimand.to_string(), row.unit.to_string()]);
        cells.extend(estimate_cells(&row.estimate));
        cells
    };
    csv_of(head, rows.iter().map(line), "sweep.csv")
}

/// `front.csv`: one row per arm and setting; `more_…` is what the dominating setting has more.
fn front_csv(fronts: &[Front]) -> Result<Vec<u8>, FileError> {
    let mut head: Vec<String> = ["arm", "sweep", "setting"].map(str::to_owned).into();
    let limits = ["", "_ci_lo", "_ci_hi"];
    head.extend(GOALS.iter().flat_map(|goal| limits.map(|end| format!("{goal}{end}"))));
    head.extend(["on_front", "share_on_front", "dominated_by", "dominated_p_holm", "surely"].map(str::to_owned));
    head.extend(GOALS.iter().flat_map(|goal| limits.map(|end| format!("more_{goal}{end}"))));
    head.extend(limits.map(|end| format!("above_floor{end}")));
    head.push("above_floor_n".to_owned());
    let numbers = |e: &Estimate| [e.value, e.lo, e.hi].map(cell);
    let lines = fronts.iter().flat_map(|front| {
        front.points.iter().map(move |point| {
            let mut cells = vec![front.arm.clone(), point.sweep.clone(), point.setting.clone()];
            cells.extend(point.goals.iter().flat_map(numbers));
            cells.extend([point.on_front.to_string(), point.share_on_front.to_string()]);
            match &point.dominated_by {
                None => cells.extend(std::iter::repeat_n(String::new(), 3 + limits.len() * GOALS.len())),
                Some(by) => {
                    cells.extend([by.setting.clone(), by.p_holm.to_string(), by.sure.to_string()]);
                    cells.extend(by.more.iter().flat_map(numbers));
                }
            }
            match &point.above_floor {
                None => cells.extend(std::iter::repeat_n(String::new(), limits.len() + 1)),
                Some(loss) => {
                    cells.extend(numbers(loss));
                    cells.push(loss.n.to_string());
                }
            }
            cells
        })
    });
    csv_of(head, lines, "front.csv")
}
