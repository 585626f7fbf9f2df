//! The pull on the straps over the season, as a picture: what is left of it when nobody looks, in the
//! coldest and the warmest weather, between the least that must be left and the most that may be.
//!
//! Time runs in equal ratios, since most is lost in the first hours; newtons run evenly from zero. Of all
//! trunks the one is shown whose straps must be looked at first.

use super::Subject;
use crate::assessment::TrunkResults;
use crate::engineering::season::Do;
use crate::formats::drawing::{Anchor, Drawing, Figure, Layer};
use crate::units::{Force, Hours, Length};

/// Where it lies in a set.
pub(crate) const PATH: &str = "pictures/pull.svg";

/// Size of the sheet, and of its borders: left, below, right, above, mm.
const SIZE: [f64; 2] = [170.0, 92.0];
const BORDER: [f64; 4] = [20.0, 18.0, 30.0, 14.0];
/// Heights of text, mm.
const TEXT: f64 = 2.6;
/// Times that are named below.
const NAMED: [(f64, &str); 5] =
    [(1.0, "1 hour"), (24.0, "1 day"), (168.0, "1 week"), (730.0, "1 month"), (8766.0, "1 year")];

/// The trunk that is shown, with its figures.
fn shown<'a>(subject: &Subject<'a>) -> Option<(usize, &'a TrunkResults)> {
    let first = |found: &TrunkResults| {
        let visit = found.course.as_ref().and_then(|c| c.visits.first());
        visit.map_or(f64::INFINITY, |v| v.due.get())
    };
    let all = subject.sums.results.iter().enumerate();
    let drawn = all.filter(|(_, found)| found.course.is_some() && found.window.is_some());
    drawn.min_by(|a, b| first(a.1).total_cmp(&first(b.1)))
}

/// What the picture says, in words.
pub(crate) fn told(subject: &Subject<'_>) -> Option<[String; 2]> {
    let (trunk, found) = shown(subject)?;
    let name = &subject.job.trunks[trunk].name;
    let course = found.course.as_ref()?;
    let title = format!("Pull on the straps of {name} over the season, when nobody looks");
    let last = course.points.last()?;
    let visit = match course.visits.first() {
        None => "It stays in its window all season.".to_owned(),
        Some(visit) => {
            let what = match visit.what {
                Do::Tighten => "be pulled again",
                Do::Slacken => "be let out",
            };
            format!("The straps must {what} after {}.", after(visit.due))
        }
    };
    let alt = format!(
        "Curve of the pull: {:.0} when mounted, {:.0} left at the end. {visit}",
        found.tension?, last.left
    );
    Some([title, alt])
}

/// A time as people say it; never later than it is.
fn after(time: Hours) -> String {
    const DAY: f64 = 24.0;
    let hours = time.get();
    if hours < 2.0 * DAY {
        format!("{:.0} h", hours.floor())
    } else {
        format!("{:.0} days", (hours / DAY).floor())
    }
}

/// The picture; none when no trunk has a pull.
pub(crate) fn drawing(subject: &Subject<'_>) -> Option<Drawing> {
    let (_, found) = shown(subject)?;
    let (course, [least, most]) = (found.course.as_ref()?, found.window?);
    let [first, last] = [course.points.first()?, course.points.last()?];
    let (start, end) = (first.hours.get(), last.hours.get());
    let bands = course.points.iter().flat_map(|p| p.band);
    let top = bands.fold(most, Force::max).get() * 1.08;
    let [left, below, right, above] = BORDER;
    let [wide, high] = [SIZE[0] - left - right, SIZE[1] - below - above];
    let x = |hours: f64| left + wide * libm::log(hours / start) / libm::log(end / start);
    let y = |force: Force| below + high * force.get() / top;
    let [title, _] = told(subject)?;
    let mut sheet = Drawing::new(&title, Length::mm(SIZE[0]), Length::mm(SIZE[1]));
    let text = |sheet: &mut Drawing, at: [f64; 2], anchor: Anchor, text: &str| {
        sheet.text(Layer::Note, at, TEXT, anchor, text);
    };
    text(&mut sheet, [left, SIZE[1] - 6.0], Anchor::Start, &title);
    // Axes, with whole steps of newtons.
    sheet.line(Layer::Dimension, [left, below], [left + wide, below]);
    sheet.line(Layer::Dimension, [left, below], [left, below + high]);
    let step = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0].into_iter().find(|s| top / s <= 6.0);
    let step = step.unwrap_or(1000.0);
    for n in 0..=((top / step) as u32) {
        let force = Force::newtons(step * f64::from(n));
        sheet.line(Layer::Dimension, [left - 1.5, y(force)], [left, y(force)]);
        text(&mut sheet, [left - 2.5, y(force) - TEXT / 2.0], Anchor::End, &format!("{force:.0}"));
    }
    for (hours, name) in NAMED.into_iter().filter(|(h, _)| (start..=end).contains(h)) {
        sheet.line(Layer::Dimension, [x(hours), below], [x(hours), below - 1.5]);
        text(&mut sheet, [x(hours), below - 6.0], Anchor::Middle, name);
    }
    // The weather's band, closed, and the pull in it.
    let line = |of: &dyn Fn(usize) -> Force| -> Vec<[f64; 2]> {
        let points = course.points.iter().enumerate();
        points.map(|(n, p)| [x(p.hours.get()), y(of(n))]).collect()
    };
    let [cold, warm] = [0, 1].map(|end| line(&|n| course.points[n].band[end]));
    let band = cold.into_iter().chain(warm.into_iter().rev()).collect();
    sheet.add(Layer::Engrave, Figure::Polyline { points: band, closed: true });
    let pull = line(&|n| course.points[n].left);
    sheet.add(Layer::Cut, Figure::Polyline { points: pull, closed: false });
    let needed = line(&|n| course.points[n].needed);
    let mark = |sheet: &mut Drawing, force: Force, what: &str| {
        text(sheet, [left + wide + 2.0, y(force) - TEXT / 2.0], Anchor::Start, what);
    };
    mark(&mut sheet, last.needed, &format!("least {:.0}", last.needed));
    sheet.add(Layer::Edge, Figure::Polyline { points: needed, closed: false });
    sheet.line(Layer::Edge, [left, y(most)], [left + wide, y(most)]);
    mark(&mut sheet, most, &format!("most {most:.0}"));
    mark(&mut sheet, last.left, &format!("left {:.0}", last.left));
    for visit in course.visits.iter().filter(|v| v.due.get() <= end) {
        let at = [x(visit.due.get()), below + 3.0];
        sheet.cross(Layer::Cut, at, 2.0);
    }
    let note = format!(
        "Pulled to {:.0}, {least:.0} at least. Band: coldest to warmest day.",
        found.tension?
    );
    text(&mut sheet, [left, 4.0], Anchor::Start, &note);
    Some(sheet)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_never_told_later_than_they_are() {
        let told = [1.9, 47.0, 48.0, 200.0].map(|h| after(Hours::hours(h)));
        assert_eq!(told, ["1 h", "47 h", "2 days", "8 days"]);
    }
}
