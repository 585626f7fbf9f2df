//! The saddle shared by cradle and rail: prism, concave back with pad recess, strap passages.
//!
//! Axes as in [`crate::design::saddle`]. The back is a frame of cylinder patches round the recess; the
//! recess ends above in a cone at 45 degrees, so that it prints standing without support. A passage
//! is a level slot: floor and roof are planes, and the mouths are quarter rounds.

use crate::design::marks::Engraving;
use crate::design::part;
use crate::design::saddle::Saddle;
use crate::solid::edge::Arc;
use crate::solid::{Corner, Edge, Frame, Loop, Path, Plane, Shell, Vec3, corner, v};
use crate::units::Length;

/// A plate that stands on the bed and on the front: x from and to, and how high it joins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::design) struct Foot {
    pub(in crate::design) x: [f64; 2],
    pub(in crate::design) height: f64,
}

/// Faces left open for the part that uses the saddle; it must add them to the shell.
pub(in crate::design) struct SaddleFaces {
    /// Normal +Y.
    pub(in crate::design) front: Plane,
    /// Normal +Z.
    pub(in crate::design) top: Plane,
    /// Normal -Y, right and left, when there is a flange.
    pub(in crate::design) flange_backs: Option<[Plane; 2]>,
}

/// Draws the saddle; `feet` from right to left.
pub(in crate::design) fn draw(shell: &mut Shell, s: &Saddle, feet: &[Foot]) -> SaddleFaces {
    let height = s.height.get();
    let half = s.half_width.get();
    let front_y = s.front_y.get();
    let low = profile(s).on(&Frame::level(0.0));
    let high = low.shifted(v(0.0, 0.0, height));
    let back = Back::new(s);

    let mut sides = Vec::new();
    let mut front = None;
    let mut flange_backs = Vec::new();
    for (a, b) in low.0.iter().zip(&high.0) {
        let flat = a.arc.is_none();
        let along =
            |value: f64, of: fn(Vec3) -> f64| flat && near(of(a.a), value) && near(of(a.b), value);
        if back.holds(a) {
            continue;
        } else if along(half, |p| p.x.abs())
            && near(a.a.x, a.b.x)
            && s.flange_y.is_none_or(|y| a.a.y.max(a.b.y) < y.get())
        {
            sides.push(Plane::between("side", *a, *b));
        } else if along(front_y, |p| p.y) {
            front = Some(front_face(*a, *b, feet));
        } else if s.flange_y.is_some_and(|y| along(y.get(), |p| p.y)) {
            flange_backs.push(Plane::between("flange back", *a, *b));
        } else if back.touches(a.a) || back.touches(a.b) {
            shell.add(back.horn(*a, *b));
        } else {
            shell.ruled("outside", *a, *b);
        }
    }
    for [floor, roof] in &s.passages {
        passage(shell, s, [floor.get(), roof.get()], &mut sides);
    }
    sides.into_iter().for_each(|side| shell.add(side));
    back.draw(shell);

    let bottom = Loop(low.0.iter().flat_map(|&e| split_at_feet(e, front_y, feet)).collect());
    shell.add(Plane::new("bottom", -Vec3::Z, bottom.reversed()));
    let front = front.unwrap_or_else(|| Plane::new("front", Vec3::Y, Loop(Vec::new())));
    let flange_backs = <[Plane; 2]>::try_from(flange_backs).ok();
    SaddleFaces { front, top: Plane::new("top", Vec3::Z, high), flange_backs }
}

/// Engraves lines of text on the upper end, over the middle; returns what found no room.
pub(in crate::design) fn mark_top(
    shell: &mut Shell,
    top: &mut Plane,
    s: &Saddle,
    mark: &[&str],
    engraving: Engraving,
) -> Vec<String> {
    let land = Length::mm(1.5);
    let (rear, front) = (land - s.recess, s.front_y - land);
    let room = [(s.half_width - land) * 2.0, front - rear];
    // Read from above, standing outside: -X is to the right, the trunk is up.
    let middle = v(0.0, ((rear + front) / 2.0).get(), s.height.get());
    let frame = Frame::new(middle, -Vec3::X, -Vec3::Y);
    part::mark(shell, top, &frame, mark, room, engraving)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// The section, counter-clockwise seen from above, starting at the right horn.
fn profile(s: &Saddle) -> crate::solid::Outline {
    let back = Back::new(s);
    let [horn_x, horn_y] = back.point(back.rim);
    let (half, front_y) = (s.half_width.get(), s.front_y.get());
    let wide = s.front_half_width.get();
    let (shoulder, edge) = (s.shoulder.get(), s.front_fillet.get());
    let mut right: Vec<Corner> = vec![corner(half, horn_y, shoulder)];
    if let Some(flange) = s.flange_y {
        right.push(corner(half, flange.get(), s.inner_fillet.get()));
        right.push(corner(wide, flange.get(), edge));
    }
    right.push(corner(wide, front_y, edge));
    let left = right.iter().rev().map(|c| corner(-c.at[0], c.at[1], c.radius));
    let corners: Vec<Corner> = right.iter().copied().chain(left).collect();

    let mut path = Path::default();
    path.line_to([horn_x, horn_y]);
    for (i, c) in corners.iter().enumerate() {
        let before = if i == 0 { [horn_x, horn_y] } else { corners[i - 1].at };
        let after = corners.get(i + 1).map_or([-horn_x, horn_y], |next| next.at);
        path.fillet(before, *c, after);
    }
    path.line_to([-horn_x, horn_y]);
    for sweep in [back.rim - back.pad, back.pad, back.pad, back.rim - back.pad] {
        path.arc([0.0, -back.face], -sweep);
    }
    path.close()
}

/// The front with notches for the feet of the plates that stand on it.
fn front_face(low: Edge, high: Edge, feet: &[Foot]) -> Plane {
    let mut face = Plane::between("front", low, high);
    let y = low.a.y;
    let mut points = vec![low.a];
    for foot in feet {
        let [inner, outer] = foot.x;
        let (first, last) = (inner.max(outer), inner.min(outer));
        points.push(v(first, y, 0.0));
        points.push(v(first, y, foot.height));
        points.push(v(last, y, foot.height));
        points.push(v(last, y, 0.0));
    }
    points.extend([low.b, high.b, high.a]);
    face.loops[0] = Loop::polygon(&points);
    face
}

/// The bottom's front edge, divided where plates stand.
fn split_at_feet(edge: Edge, front_y: f64, feet: &[Foot]) -> Vec<Edge> {
    if edge.arc.is_some() || !near(edge.a.y, front_y) || !near(edge.b.y, front_y) {
        return vec![edge];
    }
    let mut points = vec![edge.a];
    for foot in feet {
        let (first, last) = (foot.x[0].max(foot.x[1]), foot.x[0].min(foot.x[1]));
        points.extend([v(first, front_y, 0.0), v(last, front_y, 0.0)]);
    }
    points.push(edge.b);
    points.windows(2).map(|p| Edge::line(p[0], p[1])).collect()
}

/// One strap passage, from side to side.
fn passage(shell: &mut Shell, s: &Saddle, [floor, roof]: [f64; 2], sides: &mut [Plane]) {
    let half = s.half_width.get();
    let [inner, outer] = s.passage_y.map(|y| y.get());
    let (mouth, lip) = (s.mouth.get(), s.outer_mouth.get());
    let quarter = -std::f64::consts::FRAC_PI_2;
    let mut path = Path::default();
    path.line_to([-half, inner - mouth]);
    path.arc([mouth - half, inner - mouth], quarter);
    path.line_to([half - mouth, inner]);
    path.arc([half - mouth, inner - mouth], quarter);
    path.line_to([half, outer + lip]);
    path.arc([half - lip, outer + lip], quarter);
    path.line_to([lip - half, outer]);
    path.arc([lip - half, outer + lip], quarter);
    let low = path.close().on(&Frame::level(floor));
    let high = low.shifted(v(0.0, 0.0, roof - floor));
    for (a, b) in low.0.iter().zip(&high.0) {
        let open = a.arc.is_none() && near(a.a.x, a.b.x);
        if !open {
            shell.ruled("passage wall", *b, *a);
        }
    }
    for side in sides {
        let x = half * side.normal.x.signum();
        let [from, to] = [inner - mouth, outer + lip];
        // Counter-clockwise seen from that side.
        let [first, second] = if x > 0.0 { [from, to] } else { [to, from] };
        side.cut(&Loop::polygon(&[
            v(x, first, floor),
            v(x, second, floor),
            v(x, second, roof),
            v(x, first, roof),
        ]));
    }
    shell.add(Plane::new("passage floor", Vec3::Z, low));
    shell.add(Plane::new("passage roof", -Vec3::Z, high.reversed()));
}

/// The concave back: a frame of patches of the lip cylinder round the pad recess.
struct Back {
    /// Radius of the recess floor, and of the lip.
    face: f64,
    lip: f64,
    /// Angles from the middle to the pad's edge and to the horn.
    pad: f64,
    rim: f64,
    /// Bed, recess, top.
    levels: [f64; 4],
}

impl Back {
    fn new(s: &Saddle) -> Self {
        let [low, high] = s.recess_z.map(|z| z.get());
        Self {
            face: s.face_radius.get(),
            lip: (s.face_radius - s.recess).get(),
            pad: s.pad_angle(),
            rim: s.rim_angle(),
            levels: [0.0, low, high, s.height.get()],
        }
    }

    /// Point of the lip at this angle from the middle.
    fn point(&self, angle: f64) -> [f64; 2] {
        [self.lip * libm::sin(angle), self.lip * libm::cos(angle) - self.face]
    }

    fn place(&self, radius: f64, angle: f64, z: f64) -> Vec3 {
        v(radius * libm::sin(angle), radius * libm::cos(angle) - self.face, z)
    }

    /// Arc of this radius from left to right.
    fn arc(&self, radius: f64, from: f64, to: f64, z: f64) -> Edge {
        Edge {
            a: self.place(radius, from, z),
            b: self.place(radius, to, z),
            arc: Some(Arc { centre: v(0.0, -self.face, z), axis: -Vec3::Z, sweep: to - from }),
        }
    }

    fn holds(&self, edge: &Edge) -> bool {
        edge.arc.is_some_and(|arc| near(arc.centre.x, 0.0) && near(arc.centre.y, -self.face))
    }

    fn touches(&self, p: Vec3) -> bool {
        let [x, y] = self.point(self.rim);
        near(p.x.abs(), x) && near(p.y, y)
    }

    /// The flat end of a horn; its edge at the back is divided like the back.
    fn horn(&self, low: Edge, high: Edge) -> Plane {
        let mut face = Plane::between("horn", low, high);
        let up = |at: Vec3| -> Vec<Vec3> {
            let levels =
                if self.touches(at) { &self.levels[..] } else { &[self.levels[0], self.levels[3]] };
            levels.iter().map(|&z| v(at.x, at.y, z)).collect()
        };
        // Counter-clockwise: along the bed, up the far edge, back along the top, down the near one.
        let mut points = up(low.b);
        points.extend(up(low.a).into_iter().rev());
        face.loops[0] = Loop::polygon(&points);
        face
    }

    fn draw(&self, shell: &mut Shell) {
        let [_, low, high, _] = self.levels;
        let roof = high - (self.face - self.lip);
        // The seat in two halves, so that no arc exceeds a quarter turn on the deepest face.
        let columns = [-self.rim, -self.pad, 0.0, self.pad, self.rim];
        for (column, angles) in columns.windows(2).enumerate() {
            let edge = |z: f64| self.arc(self.lip, angles[0], angles[1], z);
            let seat = |z: f64| self.arc(self.face, angles[0], angles[1], z);
            let is_seat = column == 1 || column == 2;
            for (row, z) in self.levels.windows(2).enumerate() {
                if !(is_seat && row == 1) {
                    shell.ruled("rim", edge(z[0]), edge(z[1]));
                }
            }
            if is_seat {
                shell.ruled("pad seat", seat(low), seat(roof));
                shell.ruled("recess roof", seat(roof), edge(high));
            }
        }
        let halves = |radius: f64| {
            [[-self.pad, 0.0], [0.0, self.pad]].map(|[a, b]| self.arc(radius, a, b, low))
        };
        let ([lip_left, lip_right], [seat_left, seat_right]) =
            (halves(self.lip), halves(self.face).map(Edge::reversed));
        shell.add(Plane::new(
            "recess floor",
            Vec3::Z,
            Loop(vec![
                lip_left,
                lip_right,
                Edge::line(lip_right.b, seat_right.a),
                seat_right,
                seat_left,
                Edge::line(seat_left.b, lip_left.a),
            ]),
        ));
        for angle in [-self.pad, self.pad] {
            let p = |radius: f64, z: f64| self.place(radius, angle, z);
            let mut points =
                [p(self.lip, low), p(self.face, low), p(self.face, roof), p(self.lip, high)];
            if angle > 0.0 {
                points.reverse();
            }
            let normal = (points[1] - points[0]).cross(points[2] - points[1]).unit();
            shell.add(Plane::new("recess side", normal, Loop::polygon(&points)));
        }
    }
}
