//! Words of the hand.

use super::*;

fn n(v: f64) -> Force {
    Force::newtons(v)
}

#[test]
fn the_scale_never_shows_less_than_was_meant() {
    for (newtons, kg) in [(98.0665, "10 kg"), (99.0, "11 kg"), (150.0, "16 kg")] {
        assert_eq!(by_hand(n(newtons)).scale, kg);
    }
    assert!(by_hand(n(400.0)).words.contains("ratchet"));
}
