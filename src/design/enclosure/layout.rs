//! Laying out the contents, and the least box round them.
//!
//! Tried: the pack lying upright or across, standing on edge or end-on; the controller beside it or
//! below it and turned either way; the cable glands in one row or two. Contents stay clear of walls, of
//! each other, of posts and of the room in which cables bend, and the pack can slide off its receiver. Of
//! those that fit the bed one that lies comes before one that stands, which makes the box deep and levers
//! at its rails; then the smallest surface, then the first tried. When none fits, the one that
//! lacks least bed.

use super::flange::{Fasteners, FlangeProfile};
use super::mount::{self, GLAND_INSIDE, Taken};
use super::piece::{Piece, corner_distance};
use super::stand::Stand;
use super::{
    COMPONENT_GAP, ControllerPosition, Enclosure, EnclosureError, LID_CLEARANCE, Layout, POST_GAP,
    PackPose, RoundedRect, Standoff, WALL_CLEARANCE, glands, layers,
};
use crate::design::Derived;
use crate::design::cradle::pattern;
use crate::engineering::seal::Closing;
use crate::params::Job;
use crate::standards::Thread;
use crate::units::{Length, Mass};

/// Least inner bending radius of flexible cables laid at rest, in diameters: three up to 12 mm, four
/// beyond (HD 516, table of bending radii; from memory).
const BEND: [f64; 2] = [3.0, 4.0];
const THIN_CABLE: f64 = 12.0;
/// Free way along its length that a pack needs to slide off its receiver, over its length. Common
/// practice, no source: guides engage over about a quarter.
const SLIDE: f64 = 0.25;
/// Straight wall that the lanyard's eye and its neighbours need on the upper side.
const EYE_SIDE: f64 = 40.0;
/// How the half width or half height grows, and how often, until the rails' bosses find free floor.
const GROWTH_STEP: f64 = 2.0;
const GROWTH_STEPS: u32 = 20;
/// Thread of the rails' screws.
const RAIL_THREAD: Thread = Thread::M4;

/// Height in which a cable of this diameter turns a right angle: inner radius and the cable itself.
fn bend_room(cable: f64) -> f64 {
    let radius = if cable <= THIN_CABLE { BEND[0] } else { BEND[1] };
    (radius + 1.0) * cable
}

/// Contents placed about the cavity's middle, and the cavity that they need.
struct Placement {
    layout: Layout,
    /// Half of the cavity.
    half: [f64; 2],
    battery: (Piece, [f64; 2]),
    stand: Option<Stand>,
    controller: Option<(Piece, [f64; 2])>,
    rails: (f64, [f64; 2]),
    depth: f64,
    rows: glands::Rows,
    /// What set the width.
    width_reason: &'static str,
}

/// Everything that no layout changes.
struct Given<'a> {
    job: &'a Job,
    section: FlangeProfile,
    floor: f64,
    rail_boss: Standoff,
    /// Height of all posts above the inner floor.
    post_height: Length,
    bend: f64,
    slide: f64,
    rail_min_x: f64,
}

/// The better of the boxes with fasteners at the corners alone and all round.
pub(super) fn plan(
    job: &Job,
    closing: Closing,
    rail_min_x: Length,
) -> Result<Enclosure, EnclosureError> {
    let mut best: Option<(Rank, Given<'_>, Placement, Vec<Derived>)> = None;
    for fasteners in [Fasteners::Corners, Fasteners::AllRound] {
        let mut reasons = Vec::new();
        let section = FlangeProfile::new(job, closing, fasteners, &mut reasons)?;
        let given = Given::new(job, section, rail_min_x)?;
        if let Some((rank, placed)) = given.best()
            && best.as_ref().is_none_or(|(known, ..)| is_better(rank, *known))
        {
            best = Some((rank, given, placed, reasons));
        }
    }
    let unplanned = EnclosureError::NoRailFloor { least_x: rail_min_x };
    let (_, given, placed, reasons) = best.ok_or(unplanned)?;
    given.enclosure(placed, reasons).ok_or(unplanned)
}

/// Bed that is lacking, whether the pack stands, half the surface over the lid: what is printed are walls.
type Rank = [f64; 3];

/// A hair of difference is no reason to prefer a later one.
fn is_better(rank: Rank, known: Rank) -> bool {
    [rank[0] + 1e-9, rank[1], rank[2] * (1.0 + 1e-9)] < known
}

impl<'a> Given<'a> {
    fn new(
        job: &'a Job,
        section: FlangeProfile,
        rail_min_x: Length,
    ) -> Result<Self, EnclosureError> {
        let battery = job.battery.as_ref().ok_or(EnclosureError::NoBattery)?;
        let floor = layers(super::WALL_LEAST.get(), &job.printer);
        let rail_insert = job.lid.insert_length.filter(|_| job.lid.screw == RAIL_THREAD);
        let mut rail_boss = mount::standoff(RAIL_THREAD, rail_insert);
        let standoffs: Vec<Standoff> = std::iter::once(battery.receiver.thread)
            .chain(job.controller.as_ref().map(|c| c.thread))
            .map(|thread| mount::standoff(thread, None))
            .collect();
        let [boss_height, post_height] = mount::heights(&rail_boss, &standoffs, floor, job);
        rail_boss.height = boss_height;
        let cable = job.glands.iter().map(|e| e.size.cable()[1].get()).fold(0.0, f64::max);
        Ok(Self {
            job,
            section,
            floor,
            rail_boss,
            post_height,
            bend: bend_room(cable).max(GLAND_INSIDE.get() + POST_GAP.get()),
            slide: battery.receiver.slide.unwrap_or(battery.length * SLIDE).get(),
            rail_min_x: rail_min_x.get(),
        })
    }

    /// The layouts in the order in which they are tried.
    fn layouts(&self) -> Vec<Layout> {
        let mut all = Vec::new();
        for battery in PackPose::ALL {
            for gland_rows in [1, 2] {
                let mut add = |controller, controller_upright| {
                    all.push(Layout { battery, controller, controller_upright, gland_rows });
                };
                if self.job.controller.is_none() {
                    add(None, true);
                    continue;
                }
                for place in [ControllerPosition::Under, ControllerPosition::Beside] {
                    add(Some(place), true);
                    add(Some(place), false);
                }
            }
        }
        all
    }

    /// The smallest that fits the bed, or the one that lacks the least bed.
    fn best(&self) -> Option<(Rank, Placement)> {
        let mut best: Option<(Rank, Placement)> = None;
        for layout in self.layouts() {
            let Some(placed) = self.place(layout) else { continue };
            let size = self.size(&placed);
            let stands = f64::from(u8::from(layout.battery.stands()));
            let [x, y, z] = size;
            let rank = [bed_overhang(size, self.job), stands, x * y + y * z + z * x];
            if best.as_ref().is_none_or(|(known, _)| is_better(rank, *known)) {
                best = Some((rank, placed));
            }
        }
        best
    }

    /// Width and height over the lid, depth of the body.
    fn size(&self, placed: &Placement) -> [f64; 3] {
        let s = &self.section;
        let [x, y] = placed.half.map(|h| 2.0 * (h + s.over));
        [x + 2.0 * s.rim, y + s.rim + s.rim_top, placed.depth]
    }

    fn cavity(&self, half: [f64; 2]) -> RoundedRect {
        RoundedRect {
            centre: [Length::ZERO; 2],
            half: half.map(Length::mm),
            radius: Length::mm(self.section.radius),
        }
    }

    /// The pack as it lies, with its stand when it stands.
    fn battery(&self, pose: PackPose) -> Option<(Piece, Option<Stand>)> {
        let battery = self.job.battery.as_ref()?;
        if pose.stands() {
            let foot = self.floor + self.post_height.get();
            let stand = Stand::new(self.job, battery, pose, self.floor, foot);
            return Some((Piece::standing(stand.half, stand.hole), Some(stand)));
        }
        let mut standoff = mount::standoff(battery.receiver.thread, None);
        standoff.height = self.post_height;
        let holes = pattern::points(&battery.receiver.holes);
        let upright = pose == PackPose::Upright;
        Some((Piece::new(battery.length, battery.width, upright, holes, standoff), None))
    }

    fn controller(&self, upright: bool) -> Option<Piece> {
        let c = self.job.controller.as_ref()?;
        let mut standoff = mount::standoff(c.thread, None);
        standoff.height = self.post_height;
        Some(Piece::new(c.length, c.width, upright, pattern::points(&c.holes), standoff))
    }

    /// Heights of the contents above the posts: battery with receiver, controller.
    fn heights(&self, pose: PackPose) -> [f64; 2] {
        let battery = self.job.battery.as_ref().map_or(0.0, |battery| {
            let [_, _, pack] = pose.size(battery);
            let plate = if pose.stands() { Length::ZERO } else { battery.receiver.thickness };
            (plate + pack).get()
        });
        [battery, self.job.controller.as_ref().map_or(0.0, |c| c.height.get())]
    }

    /// Free space beside walls: of a thing's corner, and of a post.
    fn at_wall(&self, piece: &Piece) -> [f64; 2] {
        let radius = piece.standoff.radius.get();
        let corner = self.section.radius;
        [
            corner_distance(WALL_CLEARANCE.get(), corner),
            corner_distance(radius + POST_GAP.get(), corner) - radius,
        ]
    }

    fn place(&self, layout: Layout) -> Option<Placement> {
        let rows = glands::arrange(self.job, layout.gland_rows)?;
        let (battery, stand) = self.battery(layout.battery)?;
        let controller = self.controller(layout.controller_upright);
        let between = [COMPONENT_GAP.get() / 2.0, POST_GAP.get() / 2.0];
        let reach =
            |piece: &Piece, axis, sign, free: [f64; 2]| piece.reach(axis, sign, free[0], free[1]);
        // Toward the downward wall the bend room is free already.
        let bend = [0.0, POST_GAP.get()];
        // The pack slides off its receiver up, to the left, or out where the lid was.
        let wall = self.at_wall(&battery);
        // At its end the way runs into the rounded corner, as far from the other wall as the pack is.
        let beyond = (self.section.radius - wall[0]).max(0.0);
        let bite = self.section.radius - (self.section.radius.powi(2) - beyond * beyond).sqrt();
        let slid = |free: [f64; 2]| [free[0].max(self.slide + bite), free[1]];
        let (left, up) = match layout.battery.slide() {
            (0, _) => (slid(wall), wall),
            (1, _) => (wall, slid(wall)),
            _ => (wall, wall),
        };
        let down = bend;
        let mut half = [0.0; 2];
        let mut battery_at = [0.0; 2];
        let mut controller_at = [0.0; 2];
        // Sideways and upward sizes, then positions from the left and from below.
        match (layout.controller, &controller) {
            (Some(ControllerPosition::Beside), Some(c)) => {
                let at_wall = self.at_wall(c);
                let xs = [
                    reach(&battery, 0, -1.0, left),
                    reach(&battery, 0, 1.0, between),
                    reach(c, 0, -1.0, between),
                    reach(c, 0, 1.0, at_wall),
                ];
                let width: f64 = xs.iter().sum();
                battery_at[0] = xs[0] - width / 2.0;
                controller_at[0] = width / 2.0 - xs[3];
                let ys = [reach(&battery, 1, -1.0, down), reach(c, 1, -1.0, bend)];
                let tops = [ys[0] + reach(&battery, 1, 1.0, up), ys[1] + reach(c, 1, 1.0, at_wall)];
                half = [width / 2.0, (self.bend + tops[0].max(tops[1])) / 2.0];
                battery_at[1] = ys[0];
                controller_at[1] = ys[1];
            }
            (Some(ControllerPosition::Under), Some(c)) => {
                let at_wall = self.at_wall(c);
                let a = [reach(&battery, 0, -1.0, left), reach(&battery, 0, 1.0, wall)];
                let b = [-1.0, 1.0].map(|way| reach(c, 0, way, at_wall));
                battery_at[0] = (a[0] - a[1]) / 2.0;
                controller_at[0] = (b[0] - b[1]) / 2.0;
                half[0] = (a[0] + a[1]).max(b[0] + b[1]) / 2.0;
                controller_at[1] = reach(c, 1, -1.0, bend);
                battery_at[1] = controller_at[1]
                    + reach(c, 1, 1.0, between)
                    + reach(&battery, 1, -1.0, between);
                half[1] = (self.bend + battery_at[1] + reach(&battery, 1, 1.0, up)) / 2.0;
            }
            _ => {
                let left = reach(&battery, 0, -1.0, left);
                let right = reach(&battery, 0, 1.0, wall);
                half[0] = f64::midpoint(left, right);
                battery_at[0] = (left - right) / 2.0;
                battery_at[1] = reach(&battery, 1, -1.0, down);
                half[1] = (self.bend + battery_at[1] + reach(&battery, 1, 1.0, up)) / 2.0;
            }
        }
        let width_reason = self.widen(&mut half, &rows);
        let depth = self.depth(layout.battery, &rows);
        if layout.battery.stands() {
            half[1] = half[1].max(self.half_for_lever(depth));
        }
        // Heights so far count from the bend line.
        let pieces = |half: [f64; 2]| {
            let base = self.bend - half[1];
            let lift = |at: [f64; 2]| [at[0], at[1] + base];
            (lift(battery_at), lift(controller_at))
        };
        // Where the posts leave no floor for the rails' bosses, the box grows until they fit.
        let grown = (0..=GROWTH_STEPS).flat_map(|k| {
            let by = f64::from(k) * GROWTH_STEP;
            [[half[0] + by, half[1]], [half[0], half[1] + by]]
        });
        let (half, rails) = grown.into_iter().find_map(|half| {
            let (battery_at, controller_at) = pieces(half);
            let mut posts = Vec::new();
            let placed = std::iter::once((&battery, battery_at))
                .chain(controller.as_ref().map(|c| (c, controller_at)));
            for (piece, at) in placed {
                let radius = piece.standoff.radius.get();
                posts.extend(piece.posts.iter().map(|p| ([at[0] + p[0], at[1] + p[1]], radius)));
            }
            let boss = self.rail_boss.radius.get();
            let (corner, wall) = (self.section.radius, self.section.wall);
            let stand = stand.as_ref().map(|stand| stand.foot(battery_at));
            let taken = Taken { posts, stand };
            let rails = mount::rails(half, corner, wall, &taken, boss, self.rail_min_x, self.job)?;
            Some((half, rails))
        })?;
        let (battery_at, controller_at) = pieces(half);
        let controller = controller.map(|c| (c, controller_at));
        let battery = (battery, battery_at);
        self.section.closes(&self.cavity(half)).then_some(Placement {
            layout,
            half,
            battery,
            stand,
            controller,
            rails,
            depth,
            rows,
            width_reason,
        })
    }

    /// Widens the cavity for glands, rails and eye; says which of them it was.
    fn widen(&self, half: &mut [f64; 2], rows: &glands::Rows) -> &'static str {
        let corner = self.section.radius;
        let mut reason =
            "battery and controller side by side or the wider of them, with free space";
        let boss = self.rail_boss.radius.get() + POST_GAP.get();
        let needs = [
            (rows.width / 2.0 + corner, "cable glands in a row on the flat of the downward wall"),
            (self.rail_min_x + boss, "rail screws beside the rails' pads"),
            (EYE_SIDE / 2.0 + corner, "lanyard eye on the flat of the upper side"),
        ];
        for (need, why) in needs {
            if need > half[0] {
                half[0] = need;
                reason = why;
            }
        }
        let two_rails = 2.0 * mount::rail_half(self.job) + 2.0 * boss + GLAND_INSIDE.get();
        half[1] = half[1].max(two_rails / 2.0 + boss);
        reason
    }

    /// Half the inner height at which the rails of a box so deep stand as far apart as it is deep, so that
    /// it levers no harder at them than a lying one; no more than the bed allows.
    fn half_for_lever(&self, depth: f64) -> f64 {
        let free = self.rail_boss.radius.get() + POST_GAP.get();
        let ends = mount::rail_half(self.job) + GLAND_INSIDE.get() + free;
        let s = &self.section;
        let printer = &self.job.printer;
        let beside = 2.0 * (printer.margin.get() + s.over) + s.rim + s.rim_top;
        let bed = printer.bed[0].min(printer.bed[1]).get() - beside;
        ((depth + ends) / 2.0).min(bed / 2.0)
    }

    /// From the back to the land: contents on their posts, or the glands under the flange.
    fn depth(&self, pose: PackPose, rows: &glands::Rows) -> f64 {
        let [battery, controller] = self.heights(pose);
        let contents =
            self.floor + self.post_height.get() + battery.max(controller) + LID_CLEARANCE.get();
        let glands = self.floor + rows.height + self.section.height();
        layers(contents.max(glands), &self.job.printer)
    }

    fn enclosure(&self, placed: Placement, mut reasons: Vec<Derived>) -> Option<Enclosure> {
        let job = self.job;
        let cavity = self.cavity(placed.half);
        let top = self.floor + self.post_height.get();
        let plate = job.battery.as_ref().map_or(0.0, |b| b.receiver.thickness.get());
        let [tall, controller_height] = self.heights(placed.layout.battery);
        let (piece, at) = &placed.battery;
        let battery = match &placed.stand {
            Some(stand) => stand.placed(*at, self.floor),
            None => piece.content(*at, top, Some(plate), tall - plate),
        };
        let controller =
            placed.controller.as_ref().map(|(p, at)| p.content(*at, top, None, controller_height));
        let flange = self.section.flange(&cavity, placed.depth);
        let (holes, vent) = placed.rows.place(self.floor, flange.root.get(), &job.printer);
        let mass = |m: Option<Mass>| m.unwrap_or(Mass::ZERO);
        let contents = mass(job.battery.as_ref().map(|b| b.mass))
            + mass(job.controller.as_ref().map(|c| c.mass));
        let (screws, lanyard, lid) = self.section.closure(job, &cavity, &mut reasons)?;
        self.tell(&placed, &mut reasons);
        reasons.push(Derived::new(
            "lid fasteners",
            screws.points.len(),
            format!(
                "{:.1} apart at most, the lid's stiffness allows {:.1}",
                screws.pitch, screws.pitch_limit
            ),
        ));
        Some(Enclosure {
            layout: placed.layout,
            wall: Length::mm(self.section.wall),
            floor: Length::mm(self.floor),
            depth: Length::mm(placed.depth),
            flange,
            groove: self.section.groove(&cavity),
            screws,
            lid,
            lanyard,
            battery,
            controller,
            glands: holes,
            vent,
            rail_screw_x: Length::mm(placed.rails.0),
            rail_rows_y: placed.rails.1.map(Length::mm),
            rail_thread: RAIL_THREAD,
            rail_boss: self.rail_boss,
            bend_room: Length::mm(self.bend),
            slide: Length::mm(self.slide),
            contents,
            cavity,
            reasons,
        })
    }

    /// Says why the box is as large as it is.
    fn tell(&self, placed: &Placement, reasons: &mut Vec<Derived>) {
        let layout = placed.layout;
        let (lies, slides) = match layout.battery {
            PackPose::Upright => ("pack upright", "up"),
            PackPose::Across => ("pack across", "to the left"),
            PackPose::OnEdge => ("pack on edge, on a stand", "up"),
            PackPose::EndOn => ("pack end-on, on a stand", "out toward the lid"),
        };
        let beside = match layout.controller {
            None => "",
            Some(ControllerPosition::Beside) => ", controller beside it",
            Some(ControllerPosition::Under) => ", controller under it",
        };
        let mut say = |name: &str, value: String, why: &str| {
            reasons.push(Derived::new(name, value, why));
        };
        let size = self.size(placed);
        let fit = if bed_overhang(size, self.job) > 0.0 {
            "no layout fits the bed; this one lacks least"
        } else if layout.battery.stands() {
            "with the pack lying no layout fits the bed; smallest surface of those that do"
        } else {
            "smallest surface of all layouts that fit the bed"
        };
        say("box layout", format!("{lies}{beside}"), fit);
        let mm = |x: f64| Length::mm(x).to_string();
        say("box inner width", mm(2.0 * placed.half[0]), placed.width_reason);
        say(
            "box inner height",
            mm(2.0 * placed.half[1]),
            "contents above the room in which cables bend, or two rails one above the other, far enough apart",
        );
        let [battery, controller] = self.heights(layout.battery);
        let contents =
            battery.max(controller) + self.post_height.get() + self.floor + LID_CLEARANCE.get();
        let why = if placed.depth - contents < self.job.printer.layer.get() {
            "back, posts, the tallest content and free height for wires"
        } else {
            "cable glands between floor and flange"
        };
        say("box depth", mm(placed.depth), why);
        say("post height", self.post_height.to_string(), "contents hover above the rail bosses");
        let why = if placed.rows.is_empty() {
            "no cable glands"
        } else {
            "bending radius and diameter of the thickest cable that the glands take (HD 516)"
        };
        say("cable bend room", mm(self.bend), why);
        if let Some(stand) = &placed.stand {
            say(
                "pack stand",
                mm(stand.thickness),
                "as deep as its screws, or as a hand on the pack's end asks",
            );
        }
        say(
            "pack slides",
            format!("{slides}, {}", mm(self.slide)),
            "battery.receiver.slide, or a quarter of the pack's length",
        );
        say(
            "rail screws",
            format!("{} from the middle", mm(placed.rails.0)),
            "as far out as the floor and the posts leave room",
        );
    }
}

/// How many millimetres of bed, in all directions together, a body of this size lacks as drawn or
/// turned a quarter; zero when it fits.
fn bed_overhang(size: [f64; 3], job: &Job) -> f64 {
    let margin = 2.0 * job.printer.margin.get();
    let [x, y, z] = job.printer.bed.map(Length::get);
    let over = |a: f64, b: f64| (a + margin - x).max(0.0) + (b + margin - y).max(0.0);
    over(size[0], size[1]).min(over(size[1], size[0])) + (size[2] - z).max(0.0)
}
