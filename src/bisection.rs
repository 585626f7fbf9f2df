//! The one search by halving: the border between what holds and what does not.
//!
//! Assumes that `holds` changes once between the two ends; where it changes more often, one of the
//! borders is found. The end that holds is never given up, so that the answer holds as surely as the
//! first end did. Deterministic: so many halvings, no tolerance. Source: any text on numerical analysis.

/// Halves the span between an end that holds and one that does not, `steps` times; the two ends that
/// are left, the one that holds first. After 60 halvings they are neighbouring numbers.
pub(crate) fn border(
    good: f64,
    bad: f64,
    steps: usize,
    mut holds: impl FnMut(f64) -> bool,
) -> [f64; 2] {
    let (mut good, mut bad) = (good, bad);
    for _ in 0..steps {
        let middle = 0.5 * (good + bad);
        if holds(middle) { good = middle } else { bad = middle }
    }
    [good, bad]
}

/// As [`border`], where the question may have no answer.
///
/// # Errors
/// The first error of `holds`.
pub(crate) fn try_border<E>(
    good: f64,
    bad: f64,
    steps: usize,
    mut holds: impl FnMut(f64) -> Result<bool, E>,
) -> Result<[f64; 2], E> {
    let mut failed = None;
    let ends = border(good, bad, steps, |middle| {
        failed.is_none()
            && holds(middle).unwrap_or_else(|error| {
                failed = Some(error);
                false
            })
    });
    failed.map_or(Ok(ends), Err)
}

/// The whole number nearest to `bad` at which it holds.
pub(crate) fn whole_border(good: u32, bad: u32, mut holds: impl FnMut(u32) -> bool) -> u32 {
    let (mut good, mut bad) = (good, bad);
    while good.abs_diff(bad) > 1 {
        let middle = good.midpoint(bad);
        if holds(middle) { good = middle } else { bad = middle }
    }
    good
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_border_is_found_from_either_side_and_the_answer_holds() {
        let [good, bad] = border(0.0, 2.0, 60, |x| x * x <= 2.0);
        assert!(good * good <= 2.0 && bad * bad > 2.0 && bad - good <= 2.0 * f64::EPSILON);
        let [good, _] = border(3.0, 0.0, 60, |x| x * x >= 2.0);
        assert!(good * good >= 2.0 && good - std::f64::consts::SQRT_2 <= 4.0 * f64::EPSILON);
        assert_eq!(try_border(0.0, 1.0, 9, |_| Err::<bool, _>("no")), Err("no"));
        assert_eq!(try_border(0.0, 1.0, 1, |x| Ok::<_, ()>(x < 0.3)), Ok([0.0, 0.5]));
    }

    #[test]
    fn whole_numbers_end_beside_each_other() {
        for border in 1..40 {
            assert_eq!(whole_border(0, 40, |n| n < border), border - 1);
            assert_eq!(whole_border(40, 0, |n| n >= border), border);
        }
    }
}
