//! What another foam would change: the fewest sizes for each thickness of pad.
//!
//! Method: the whole job is planned anew for each thickness, from nothing printed, so that a row of
//! the table is what that job would print. Millimetres. Thicker foam evens out more difference in
//! girth and so needs no more sizes for one and the same width of pad.

use serde::Serialize;

use super::{PreviousSet, plan};
use crate::params::Job;
use crate::units::Length;

/// Thicknesses in which closed-cell sheet is sold (common practice, no source), mm.
const SHEETS: [f64; 8] = [5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0];

/// What a thickness of foam costs in sizes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct TradeOff {
    /// Free thickness of the foam.
    pub thickness: Length,
    /// Whether the job has this thickness.
    pub chosen: bool,
    /// The least number of cradle sizes.
    pub cradles: usize,
    /// The least number of rail sizes.
    pub rails: usize,
    /// Trunks that no cradle or no rails would fit.
    pub unserved: usize,
}

/// The fewest sizes for usual thicknesses of foam and for the job's own, thinnest first. A thickness
/// for which the job cannot be planned at all is left out.
#[must_use]
pub(crate) fn trade_off(job: &Job) -> Vec<TradeOff> {
    let own = job.pad.free_thickness();
    let mut sheets: Vec<Length> = SHEETS.into_iter().map(Length::mm).collect();
    if !sheets.contains(&own) {
        sheets.push(own);
        sheets.sort_by(|a, b| a.get().total_cmp(&b.get()));
    }
    let row = |thickness: Length| {
        let mut other = job.clone();
        other.pad.thickness = Some(thickness);
        let plan = plan(&other, &PreviousSet::default()).ok()?;
        let mut without: Vec<usize> = plan.unserved.iter().map(|(_, u)| u.trunk).collect();
        without.sort_unstable();
        without.dedup();
        Some(TradeOff {
            thickness,
            chosen: thickness == own,
            cradles: plan.cradles.len(),
            rails: plan.rails.len(),
            unserved: without.len(),
        })
    };
    sheets.into_iter().filter_map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params;

    fn job(foam: f64, girths: impl Iterator<Item = u32>) -> Job {
        let mut text = format!(
            "[job]\nname = \"row of trees\"\n[fixture]\nname = \"lamp\"\nwidth = 150\nheight = 120\ndepth = 60\nmass = 1\n\
             power = 10\n[fixture.mount]\nkind = \"side-bosses\"\nspan = 160\nthread = \"M5\"\n\
             [pad]\nthickness = {foam}\n"
        );
        for girth in girths {
            text += &format!("[[trunk]]\nname = \"t{girth}\"\ngirth = {girth}\n");
        }
        params::read(&text).expect("a job").job
    }

    #[test]
    fn thicker_foam_leaves_no_more_trunks_out_and_the_own_row_is_the_plan() {
        let job = job(7.0, (500..2500).step_by(40));
        let table = trade_off(&job);
        assert!(table.windows(2).all(|w| w[0].thickness < w[1].thickness));
        assert!(table.windows(2).all(|w| w[0].unserved >= w[1].unserved), "{table:?}");
        assert!(table[2].cradles >= table[8].cradles + 2, "{table:?}");
        let own: Vec<_> = table.iter().filter(|row| row.chosen).collect();
        assert_eq!(own.len(), 1);
        let planned = plan(&job, &PreviousSet::default()).expect("a plan");
        assert_eq!((own[0].thickness.get(), own[0].cradles), (7.0, planned.cradles.len()));
        assert_eq!((own[0].rails, own[0].unserved), (0, planned.unserved.len()));
    }
}
