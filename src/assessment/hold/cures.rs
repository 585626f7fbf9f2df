//! What would give a trunk a print on which the pull has room: each change tried by planning anew.

use crate::design::{self, LeftOpen, SizeKind};
use crate::finding::{Finding, KeyPath};
use crate::params::{Job, TightenerKind};
use crate::units::{Force, Length, Mass, Speed, trimmed};

/// Thicknesses in which closed-cell sheet is sold (common practice, no source), mm.
const SHEETS: [f64; 7] = [6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0];
/// Half widths tried, mm.
const HALF_WIDTHS: [f64; 6] = [28.0, 34.0, 40.0, 46.0, 52.0, 60.0];
/// Widths of webbing on sale, and what such straps bear at least, mm and N (labels; common practice).
const WEBBINGS: [[f64; 2]; 3] = [[38.0, 1000.0], [50.0, 1500.0], [75.0, 2500.0]];
/// Most straps of a cradle.
const MOST_STRAPS: u32 = 3;
/// Shares of weight and gust tried.
const LESS: [f64; 6] = [0.9, 0.8, 0.7, 0.6, 0.5, 0.4];

/// Whether the trunk gets its print when the job is changed so. What was left open stays as the plan chose
/// it, which comes nearest; settled anew it can only serve better.
fn serves(job: &Job, trunk: usize, kind: SizeKind, change: impl FnOnce(&mut Job)) -> bool {
    let mut one = job.clone();
    one.trunks = vec![job.trunks[trunk].clone()];
    change(&mut one);
    design::plan(&one, &Default::default())
        .is_ok_and(|plan| plan.unserved.iter().all(|(of, _)| *of != kind))
}

/// Adds every single change that gives the trunk its print, the least effort first.
pub(in crate::assessment) fn remedies(
    (job, open): (&Job, LeftOpen),
    trunk: usize,
    kind: SizeKind,
    finding: Finding,
) -> Finding {
    let mut found: Vec<(KeyPath, String)> = Vec::new();
    let mut add = |key: &str, change: String| found.push((KeyPath::new(key), change));
    let tries = |change: &dyn Fn(&mut Job)| serves(job, trunk, kind, change);
    let now = job.pad.free_thickness();
    let mut sheets: Vec<Length> =
        SHEETS.map(Length::mm).into_iter().filter(|t| *t != now && !open.foam).collect();
    sheets.sort_by(|a, b| (*a - now).abs().get().total_cmp(&(*b - now).abs().get()));
    if let Some(t) = sheets.into_iter().find(|t| tries(&|job| job.pad.thickness = Some(*t))) {
        add("pad.thickness", format!("{} mm", trimmed(t.get(), 1)));
    }
    let half = HALF_WIDTHS.map(Length::mm).into_iter().filter(|w| Some(*w) != job.pad.half_width);
    if let Some(w) = half.into_iter().find(|w| tries(&|job| job.pad.half_width = Some(*w))) {
        add("pad.half-width", format!("{} mm", trimmed(w.get(), 1)));
    }
    let more =
        (job.strap.straps() + 1..=MOST_STRAPS).filter(|_| kind == SizeKind::Cradle && !open.straps);
    if let Some(n) = more.into_iter().find(|n| tries(&|job| job.strap.count = Some(*n))) {
        add("strap.count", n.to_string());
    }
    let wider = WEBBINGS.into_iter().filter(|[w, _]| *w > job.strap.width.get());
    let strapped = |job: &mut Job, width: f64| job.strap.width = Length::mm(width);
    if let Some([w, _]) = wider.into_iter().find(|[w, _]| tries(&|job| strapped(job, *w))) {
        add("strap.width", format!("{w} mm"));
    }
    let stronger = WEBBINGS.map(|[_, n]| Force::newtons(n));
    let stronger = stronger.into_iter().filter(|n| *n > job.strap.working_load);
    if let Some(n) = stronger.into_iter().find(|n| tries(&|job| job.strap.working_load = *n)) {
        add("strap.working-load", format!("{} N", n.get()));
    }
    if job.strap.tightened_by() == TightenerKind::Cam
        && !open.tightener
        && tries(&|job| job.strap.tightener = Some(TightenerKind::Ratchet))
    {
        add("strap.tightener", "\"ratchet\"".into());
    }
    if job.strap.tension.is_some() && tries(&|job| job.strap.tension = None) {
        add("strap.tension", "leave it out".into());
    }
    let fewer = (1..job.trunks[trunk].fixtures).rev().filter(|_| kind == SizeKind::Cradle);
    if let Some(n) = fewer.into_iter().find(|n| tries(&|job| job.trunks[0].fixtures = *n)) {
        add(KeyPath::trunk(trunk, "fixtures").as_str(), format!("at most {n}"));
    }
    let years =
        [job.job.years - 1.0, 1.0, 0.0].into_iter().filter(|y| (0.0..job.job.years).contains(y));
    if let Some(y) = years.into_iter().find(|y| tries(&|job| job.job.years = *y)) {
        add("job.years", trimmed(y, 1));
    }
    let gust = |share: f64| Speed::metres_per_second((job.site.gust.get() * share).floor());
    if let Some(v) = LESS.map(gust).into_iter().find(|v| tries(&|job| job.site.gust = *v)) {
        add("site.gust", format!("at most {} m/s", v.get()));
    }
    let mass = |share: f64| Mass::kg((job.fixture.mass.get() * share * 10.0).floor() / 10.0);
    let light = LESS.map(mass).into_iter().filter(|m| m.get() > 0.0 && kind == SizeKind::Cradle);
    if let Some(m) = light.into_iter().find(|m| tries(&|job| job.fixture.mass = *m)) {
        add("fixture.mass", format!("at most {} kg", trimmed(m.get(), 1)));
    }
    found.into_iter().fold(finding, |finding, (key, change)| finding.remedy(key.as_str(), change))
}
