//! A fall onto a lanyard, and the glaze that ice lays on a body.
//!
//! Peak force on a linear spring without damping: F = W (1 + sqrt(1 + 2 h/d)), h the free fall until the
//! lanyard is taut and d = W/k what the weight alone stretches it (energy balance: W (h + x) = k x^2/2). The
//! mean force over a stopping distance, W h/d + W, which some pages give as the force, is about half of it.
//!
//! Glaze (ISO 12494): ice of 900 kg/m3 and one thickness all round.
//!
//! Not here: damping, the tree's give (both lower the peak), snow and rime, which lie on one side.

use crate::engineering::guard::{OutOfRange, not_negative, positive};
use crate::units::{Force, Length, Mass};

/// Density of glaze, kg/mm3 (ISO 12494).
const GLAZE: f64 = 900e-9;

/// What a lanyard takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fall {
    pub weight: Force,
    /// Stretch under the weight alone.
    pub stretch: Length,
    /// Peak over weight.
    pub times: f64,
    pub peak: Force,
}

/// A weight that falls freely by `slack` before a lanyard of this stiffness (N/mm) is taut.
///
/// # Errors
/// A weight or stiffness not above zero, or a slack below.
pub(crate) fn fall(weight: Force, slack: Length, stiffness: f64) -> Result<Fall, OutOfRange> {
    let (w, k) = (positive("the weight", weight.get())?, positive("the stiffness", stiffness)?);
    let stretch = w / k;
    let times = 1.0 + (1.0 + 2.0 * not_negative("the slack", slack.get())? / stretch).sqrt();
    Ok(Fall { weight, stretch: Length::mm(stretch), times, peak: weight * times })
}

/// The slack at which the peak reaches `most`; none where even a taut lanyard takes more.
#[must_use]
pub(crate) fn slack_within(weight: Force, stiffness: f64, most: Force) -> Option<Length> {
    let times = most / weight - 1.0;
    let slack = weight.get() / stiffness * (times * times - 1.0) / 2.0;
    (times >= 1.0 && slack.is_finite()).then(|| Length::mm(slack))
}

/// Mass of a glaze of this thickness on a cuboid.
#[must_use]
pub(crate) fn glaze(sides: [Length; 3], thickness: Length) -> Mass {
    let volume = |more: f64| sides.iter().map(|s| s.get() + more).product::<f64>();
    Mass::kg(GLAZE * (volume(2.0 * thickness.get()) - volume(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peak_forces_by_hand() {
        // n = 1 + sqrt(1 + 2 h/d): h 0 gives 2; h/d 75 13.29, 100 15.18, 20 7.40, 10 5.58.
        for (ratio, times) in
            [(0.0, 2.0), (75.0, 13.29), (100.0, 15.18), (20.0, 7.40), (10.0, 5.58)]
        {
            let found = fall(Force::newtons(10.0), Length::mm(ratio), 10.0).unwrap();
            assert!((found.times - times).abs() < 0.005, "{ratio}: {}", found.times);
        }
        // 2.5 kg, 0.2 m, 50 N/mm: 0.4905 mm, 29.57 times, 725.3 N; 4 kg and 100 N/mm: 1292.7 N (g 9.81).
        let found = fall(Force::newtons(2.5 * 9.81), Length::mm(200.0), 50.0).unwrap();
        assert!((found.stretch.get() - 0.4905).abs() < 1e-4);
        assert!((found.peak.get() - 725.3).abs() < 0.1, "{}", found.peak);
        let heavy = fall(Force::newtons(4.0 * 9.81), Length::mm(200.0), 100.0).unwrap();
        assert!((heavy.peak.get() - 1292.7).abs() < 0.1, "{}", heavy.peak);
        // Ten times the weight is not on the safe side of that.
        assert!(found.peak > found.weight * 10.0);
    }

    #[test]
    fn the_slack_that_keeps_a_force_keeps_it() {
        let w = Force::newtons(20.0);
        let slack = slack_within(w, 30.0, Force::newtons(300.0)).unwrap();
        let found = fall(w, slack, 30.0).unwrap();
        assert!((found.peak.get() - 300.0).abs() < 1e-9);
        assert_eq!(slack_within(w, 30.0, Force::newtons(39.0)), None);
        for bad in [f64::NAN, 0.0, -1.0] {
            assert!(fall(w, Length::mm(10.0), bad).is_err());
            assert!(fall(Force::newtons(bad), Length::mm(10.0), 10.0).is_err());
        }
    }

    #[test]
    fn glaze_grows_all_round() {
        // By hand: 10 mm on 100 x 100 x 100: (120^3 - 100^3) mm3 x 900 kg/m3 = 0.655 kg.
        let found = glaze([Length::mm(100.0); 3], Length::mm(10.0));
        assert!((found.get() - 0.6552).abs() < 1e-4, "{found}");
        // ISO 12494: on a bar of 30 mm a glaze of 10 mm weighs 1.131 kg a metre, pi rho t (D + t); square, 4/pi
        // of that and the corners.
        let square =
            glaze([Length::mm(30.0), Length::mm(30.0), Length::metres(100.0)], Length::mm(10.0));
        assert!((square.get() / 100.0 / (4.0 / std::f64::consts::PI) - 1.131).abs() < 0.01);
    }
}
