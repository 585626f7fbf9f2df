//! Posts under the contents, and the bosses that take the rails' screws.

use super::flange::{BELOW_INSERT, ROUND_INSERT};
use super::{COMPONENT_CLEARANCE, POST_GAP, SKIN_LEAST, Standoff, layers};
use crate::params::Job;
use crate::standards::Thread;
use crate::units::Length;

/// A screw that forms its own thread in plastic: bore, depth and boss over its diameter. Boss 2 to
/// 2.5 and depth at least 2.7 diameters (a plastic-screw maker's boss design page); bore 0.85 from
/// memory.
const FORMED: [f64; 3] = [0.85, 2.7, 2.5];

/// What a rail takes behind the back beyond half its strap: its rims and rounded mouth.
const RAIL_RIM: f64 = 8.0;
/// Depth inside the downward wall that glands take with their locknuts. Makers' typical thread
/// lengths, from memory.
pub(crate) const GLAND_INSIDE: Length = Length::mm(12.0);
/// Step of the search for free places.
const STEP: f64 = 1.0;

/// A hole for a screw that forms its own thread.
pub(super) fn formed(thread: Thread) -> Standoff {
    let d = thread.diameter();
    Standoff {
        thread,
        radius: d * (FORMED[2] / 2.0),
        height: Length::ZERO,
        bore: d * FORMED[0],
        bore_depth: d * FORMED[1],
        insert: false,
    }
}

/// A standoff for a thread, its height still open.
pub(super) fn standoff(thread: Thread, insert_length: Option<Length>) -> Standoff {
    let d = thread.diameter();
    match thread.insert() {
        Some(insert) => Standoff {
            thread,
            radius: insert.outer * (0.5 + ROUND_INSERT),
            height: Length::ZERO,
            bore: insert.pilot,
            bore_depth: insert_length.unwrap_or(2.0 * d) + Length::mm(BELOW_INSERT),
            insert: true,
        },
        None => formed(thread),
    }
}

/// Heights above the inner floor of the rails' bosses and of all posts: bosses close over their
/// holes, posts stand above bosses and hold their own screws.
pub(super) fn heights(rail: &Standoff, posts: &[Standoff], floor: f64, job: &Job) -> [Length; 2] {
    let boss = layers(rail.bore_depth.get() + SKIN_LEAST.get() - floor, &job.printer);
    let own = posts.iter().map(|p| p.bore_depth.get() + SKIN_LEAST.get() - floor);
    let post = own.fold(boss + COMPONENT_CLEARANCE.get(), f64::max);
    [boss, layers(post, &job.printer)].map(Length::mm)
}

/// Half of a rail's height, as far as the box needs to know it.
pub(super) fn rail_half(job: &Job) -> f64 {
    job.strap.width.get() / 2.0 + RAIL_RIM
}

/// Floor that is taken.
pub(super) struct Taken {
    /// Middles and radii of posts.
    pub(super) posts: Vec<([f64; 2], f64)>,
    /// Lowest and highest corner of a stand's foot.
    pub(super) stand: Option<[[f64; 2]; 2]>,
}

/// Where the rails' screws go: as far out as the floor allows, clear of every post.
///
/// `half` is half the cavity, `corner` its corner radius, `overlap` how far the box reaches beyond the
/// cavity downward and upward. Returns X and the two heights.
pub(super) fn rails(
    half: [f64; 2],
    corner: f64,
    overlap: f64,
    taken: &Taken,
    boss: f64,
    least_x: f64,
    job: &Job,
) -> Option<(f64, [f64; 2])> {
    let free = boss + POST_GAP.get();
    let most_x = half[0] - free;
    // At the walls' ends the boss must clear the rounded corner, below also the locknuts.
    let end = half[1] - free.max(corner);
    let far = (half[1] + overlap - rail_half(job)).min(end);
    let low = -far.min(half[1] - GLAND_INSIDE.get() - free);
    let beside_stand = |x: f64, y: f64| {
        taken.stand.is_none_or(|[low, high]| {
            let d = [x, y].into_iter().enumerate();
            let d = d.map(|(i, p)| (low[i] - p).max(p - high[i]).max(0.0));
            d.map(|d| d * d).sum::<f64>().sqrt() >= free
        })
    };
    let clear = |x: f64, y: f64| {
        beside_stand(x, y)
            && beside_stand(-x, y)
            && taken.posts.iter().all(|(p, r)| {
                [-x, x].iter().all(|x| {
                    let d = [p[0] - x, p[1] - y];
                    (d[0] * d[0] + d[1] * d[1]).sqrt() >= r + free
                })
            })
    };
    // Two rails must not overlap each other.
    let apart = rail_half(job);
    let steps = |room: f64| 0..=(room.max(0.0) / STEP) as usize;
    if most_x < least_x {
        return None;
    }
    steps(most_x - least_x).find_map(|i| {
        let x = most_x - i as f64 * STEP;
        let upper = steps(far - apart).map(|k| far - k as f64 * STEP).find(|&y| clear(x, y))?;
        let lower = steps(-low - apart).map(|k| low + k as f64 * STEP).find(|&y| clear(x, y))?;
        (upper - lower >= 2.0 * apart).then_some((x, [lower, upper]))
    })
}
