//! What turns with the lamp comes too near to its cradle somewhere in the tilt range.
//!
//! Lamp, cable and tilt plate are boxes that turn about the pivot; each is measured against the
//! finished mesh. Boxes that fit between the ears have the ears' side play by design and are
//! measured against the saddle alone; wider ones against all. The trunk needs no measure of its own:
//! it lies behind the saddle's front along the whole bark line, which the cradle follows, and
//! nothing that clears the front reaches it.
//!
//! Method: a box turned by an angle d moves nowhere farther than rho d, with rho its farthest
//! corner. So the gap in the middle of an interval of tilt bounds the gap over all of it, and
//! intervals are halved until the bound is within `SLACK` of the least gap found (Piyavskii,
//! USSR Computational Mathematics 12(4), 1972). That slack is subtracted.

use crate::assessment::rounding::{down, up};
use crate::assessment::{Subject, undetermined};
use crate::bisection::border;
use crate::build::BuiltPart;
use crate::design::Yoke;
use crate::design::cradle::yoke::SweptBody;
use crate::design::saddle::Saddle;
use crate::finding::{Finding, Rule, Severity};
use crate::mesh::bvh::Bvh;
use crate::mesh::distance::surface_gap;
use crate::mesh::{Bounds, MeshFault, TriMesh};
use crate::space::{Pose, Vec3, v};
use crate::units::{Angle, Length};

/// What `why` prints.
pub(crate) const RULE: Rule = Rule {
    code: "swing-clearance",
    title: "air between cradle and lamp, cable or tilt plate over the whole tilt range",
    why: "a lamp that strikes its cradle cannot be aimed, and one that pinches its cable fails in the rain",
    formula: "least gap between the turned boxes and the finished mesh, less what lies between two steps >= 3 mm",
    source: "geometry; 3 mm for a cable tie and the print's error: common practice, no source",
    cure: "a narrower tilt range, or less room for the cable",
};

/// Least air. The plan gives 5 mm in plan view; print and mesh may take some of it.
const MIN_CLEARANCE: Length = Length::mm(3.0);
/// How much the least gap may be below what was measured; it is subtracted.
const SLACK: Length = Length::mm(0.2);
/// Gaps are not measured out beyond this: the more is known, the fewer steps are needed, and the
/// longer each takes.
const MAX_MEASURED_GAP: Length = Length::mm(10.0);
/// Steps of the search for a tilt that clears.
const STEPS: usize = 12;

/// The least gap of a box, and the tilt at which it was met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LeastGap {
    /// Never more than the true gap; below 3 mm at most 0.2 mm less.
    pub(crate) gap: Length,
    /// Where.
    pub(crate) tilt: Angle,
}

/// A made cradle, ready to be measured.
struct CradleUnderTest<'a> {
    whole: Bvh<'a>,
    saddle: Bvh<'a>,
    print: Pose,
    pivot: Vec3,
    /// Half of what fits between the ears.
    between: Length,
}

/// The triangles of a cradle's saddle: all that do not reach out past its front.
fn saddle_alone(made: &BuiltPart, saddle: &Saddle) -> TriMesh {
    let front = made.spec.part.print.point(v(0.0, saddle.front_y.get(), 0.0)).y + 1e-3;
    let behind = |t: &&[u32; 3]| t.iter().all(|&i| made.mesh.vertices[i as usize][1] <= front);
    let triangles = made.mesh.triangles.iter().filter(behind).copied().collect();
    TriMesh { vertices: made.mesh.vertices.clone(), triangles }
}

impl<'a> CradleUnderTest<'a> {
    fn new(
        made: &'a BuiltPart,
        alone: &'a TriMesh,
        saddle: &Saddle,
        yoke: &Yoke,
    ) -> Result<Self, MeshFault> {
        Ok(Self {
            whole: Bvh::new(&made.mesh)?,
            saddle: Bvh::new(alone)?,
            print: made.spec.part.print,
            pivot: v(0.0, (saddle.front_y + yoke.reach).get(), yoke.pivot_z.get()),
            between: yoke.gap / 2.0,
        })
    }

    /// The least gap of a box anywhere between two tilts, searched until it is found or known to be
    /// [`MIN_CLEARANCE`] at least.
    fn least_gap(
        &self,
        turning: &SweptBody,
        [from, to]: [Angle; 2],
    ) -> Result<LeastGap, MeshFault> {
        let half = turning.half_width.get();
        let [y, z] = [turning.y, turning.z].map(|side| side.map(Length::get));
        let still = Bounds { min: [-half, y[0], z[0]], max: [half, y[1], z[1]] }.mesh();
        let rho = y.iter().flat_map(|y| z.iter().map(|z| libm::hypot(*y, *z))).fold(0.0, f64::max);
        let against = if turning.half_width <= self.between { &self.saddle } else { &self.whole };
        let gap = |tilt: f64| -> Result<f64, MeshFault> {
            let turned = |p: &[f64; 3]| (self.pivot + Vec3::from(*p).turned(Vec3::X, tilt)).array();
            let vertices = still.vertices.iter().map(turned).collect();
            let own = TriMesh { vertices, triangles: still.triangles.clone() };
            let there = own.posed(&self.print);
            Ok(surface_gap(against, &Bvh::new(&there)?, MAX_MEASURED_GAP).get())
        };
        let mut least = (gap(from.rad())?, from.rad());
        let mut open = vec![[from.rad(), to.rad()]];
        while let Some([a, b]) = open.pop() {
            let middle = (a + b) / 2.0;
            let here = gap(middle)?;
            if here < least.0 {
                least = (here, middle);
            }
            let bound = here - rho * (b - a) / 2.0;
            if bound < least.0.min(MIN_CLEARANCE.get() + SLACK.get()) - SLACK.get() {
                open.extend([[a, middle], [middle, b]]);
            }
        }
        let gap = (Length::mm(least.0) - SLACK).max(Length::ZERO).min(MIN_CLEARANCE);
        Ok(LeastGap { gap, tilt: Angle::radians(least.1) })
    }
}

/// The least gap of each turning box of the yoke against a made cradle, in the yoke's order. A gap
/// of 3 mm and more is not searched further: it says only that there is as much.
///
/// # Errors
/// [`MeshFault`] when a mesh is invalid.
pub(crate) fn least_gaps(
    made: &BuiltPart,
    saddle: &Saddle,
    yoke: &Yoke,
    tilt: [Angle; 2],
) -> Result<Vec<LeastGap>, MeshFault> {
    let alone = saddle_alone(made, saddle);
    let stand = CradleUnderTest::new(made, &alone, saddle, yoke)?;
    yoke.swing.iter().map(|turning| stand.least_gap(turning, tilt)).collect()
}

/// One finding for each cradle, about the box that comes nearest.
pub(crate) fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let (job, Some(plan)) = (subject.job, subject.plan()) else { return Vec::new() };
    let tilt = [job.tilt.min, job.tilt.max];
    let mut findings = Vec::new();
    for size in &plan.cradles {
        let id = size.id();
        let Some(cradle) = subject.part(&id) else { continue };
        let yoke = plan.yoke.on(size.saddle.height);
        let gaps = match least_gaps(cradle, &size.saddle, &yoke, tilt) {
            Ok(gaps) => gaps,
            Err(error) => {
                findings.push(undetermined(&RULE, &error).part(&id));
                continue;
            }
        };
        let nearest = gaps.iter().zip(&plan.yoke.swing);
        let nearest = nearest.min_by(|a, b| a.0.gap.get().total_cmp(&b.0.gap.get()));
        let Some((least, turning)) = nearest.filter(|(least, _)| least.gap < MIN_CLEARANCE) else {
            continue;
        };
        let severity = if least.gap > Length::ZERO { Severity::Warning } else { Severity::Error };
        let message = format!(
            "what turns with the lamp comes within {:.1} of the cradle at a tilt of {:.0}",
            least.gap, least.tilt
        );
        let mut finding = Finding::new(RULE.code, severity, message)
            .measured(format!("{:.1}", least.gap), format!("at least {MIN_CLEARANCE}"))
            .part(&id)
            .key("tilt.max")
            .key("tilt.min")
            .key("fixture.cable-room");
        for (key, change) in cures(cradle, &size.saddle, &yoke, turning, tilt) {
            finding = finding.remedy(key, change);
        }
        findings.push(finding);
    }
    findings
}

/// The widest ranges from either end in which the box clears this cradle, by bisection.
fn cures(
    cradle: &BuiltPart,
    saddle: &Saddle,
    yoke: &Yoke,
    turning: &SweptBody,
    [from, to]: [Angle; 2],
) -> Vec<(&'static str, String)> {
    let alone = saddle_alone(cradle, saddle);
    let Ok(stand) = CradleUnderTest::new(cradle, &alone, saddle, yoke) else { return Vec::new() };
    let clears =
        |a: Angle, b: Angle| stand.least_gap(turning, [a, b]).is_ok_and(|l| l.gap >= MIN_CLEARANCE);
    let bisect = |fixed: Angle, far: Angle| {
        let [good, _] = border(fixed.rad(), far.rad(), STEPS, |end| {
            let end = Angle::radians(end);
            let [a, b] = if end < fixed { [end, fixed] } else { [fixed, end] };
            clears(a, b)
        });
        Angle::radians(good)
    };
    let mut cures = Vec::new();
    if clears(from, from) {
        let most = down(Length::mm(bisect(from, to).deg())).get();
        cures.push(("tilt.max", format!("at most {most} deg")));
    }
    if clears(to, to) {
        let least = up(Length::mm(bisect(to, from).deg())).get();
        cures.push(("tilt.min", format!("at least {least} deg")));
    }
    cures
}
