//! The cable plan as a diagram: each box with its fuse, its lamps, the cable lengths between them,
//! and the volts at each lamp, the battery at its nominal voltage.
//!
//! Not to scale. Lamps run from left to right; a long feed goes on in the next row. A loop's return
//! is drawn back to the box from the last lamp; so is the first cable of a chain's second way, whose
//! far end stands beside the end of the first.

use super::Subject;
use crate::assessment::power::feeds::Studied;
use crate::formats::drawing::{Anchor, Drawing, Figure, Layer};
use crate::units::{Length, trimmed};

/// Lamps in a row.
const ROW: usize = 8;
/// From lamp to lamp, and from row to row, mm.
const LAMP_SPACING: [f64; 2] = [38.0, 46.0];
/// The box: size, mm.
const BOX: [f64; 2] = [40.0, 20.0];
/// Radius of a lamp, mm.
const LAMP: f64 = 5.0;
/// Free border, mm.
const BORDER: f64 = 8.0;
/// Heights of text, mm.
const TEXT_HEIGHT: f64 = 2.8;
/// Longest name under a lamp, in characters.
const NAME: usize = 19;
/// From a feed's top to the middle of its box, from there to its lower end without and with a return,
/// and to the next feed, mm.
const HEAD: f64 = 20.0;
const FOOT: [f64; 2] = [12.0, 20.0];
const APART: f64 = 8.0;

/// The diagram; none when the job has no feed that can be studied.
#[must_use]
pub(crate) fn drawing(subject: &Subject<'_>) -> Option<Drawing> {
    let feeds = subject.sums.power.feeds.as_ref().ok().filter(|f| !f.is_empty())?;
    let rows = |feed: &Studied| feed.feed.fixtures.len().div_ceil(ROW);
    let tall = |feed: &Studied| {
        let foot = FOOT[usize::from(feed.feed.plan.returns())];
        HEAD + LAMP_SPACING[1] * rows(feed).saturating_sub(1) as f64 + foot
    };
    let longest = feeds.iter().map(|f| f.feed.fixtures.len().min(ROW)).max().unwrap_or(1);
    let width = BORDER * 2.0 + BOX[0] + LAMP_SPACING[0] * longest as f64 + LAMP * 2.0;
    let apart = APART * (feeds.len() - 1) as f64;
    let height = BORDER * 2.0 + feeds.iter().map(tall).sum::<f64>() + apart;
    let mut sheet = Drawing::new("Feed", Length::mm(width), Length::mm(height));
    let mut top = height - BORDER;
    for feed in feeds {
        one(&mut sheet, subject, feed, top);
        top -= tall(feed) + APART;
    }
    Some(sheet)
}

/// One feed, hanging down from `top`.
fn one(sheet: &mut Drawing, subject: &Subject<'_>, studied: &Studied, top: f64) {
    let (job, feed, study) = (subject.job, &studied.feed, &studied.study);
    let metres = |l: Length| format!("{} m", trimmed(l.in_metres(), 1));
    let middle = top - HEAD;
    let corner = [BORDER, middle - BOX[1] / 2.0];
    sheet.rounded(Layer::Edge, corner, BOX, 2.0);
    let home = feed.trunk.map_or("battery", |t| job.trunks[t].name.as_str());
    let fuse = job.feed.fuse.or(study.fuse.ok());
    let fuse = fuse.map_or("no fuse fits".to_owned(), |f| format!("fuse {f}"));
    let lines = [short(home), format!("{}", study.nominal), fuse];
    for (i, text) in lines.iter().enumerate() {
        let at = [BORDER + BOX[0] / 2.0, middle + 4.0 - 5.5 * i as f64];
        sheet.text(Layer::Note, at, TEXT_HEIGHT, Anchor::Middle, text);
    }
    let caption = format!("{} two-core cable, volts at nominal", study.size);
    sheet.text(
        Layer::Note,
        [BORDER, middle + BOX[1] / 2.0 + 3.0],
        TEXT_HEIGHT,
        Anchor::Start,
        &caption,
    );

    let place = |k: usize| {
        let x = BORDER + BOX[0] + LAMP_SPACING[0] * ((k % ROW) as f64 + 0.8) + LAMP;
        [x, middle - LAMP_SPACING[1] * (k / ROW) as f64]
    };
    let mut from = [BORDER + BOX[0], middle];
    for (k, (&trunk, &length)) in feed.fixtures.iter().zip(&feed.plan.lengths).enumerate() {
        let to = place(k);
        let entry = [to[0] - LAMP, to[1]];
        if feed.plan.apart == Some(k) {
            // The far end of the second way: no cable comes to it from the first.
        } else if k > 0 && k % ROW == 0 {
            // Down to the next row, and back to its beginning.
            let y = to[1] + LAMP_SPACING[1] / 2.0;
            let points = vec![
                from,
                [from[0] + 4.0, from[1]],
                [from[0] + 4.0, y],
                [entry[0] - 8.0, y],
                [entry[0] - 8.0, entry[1]],
                entry,
            ];
            sheet.add(Layer::Edge, Figure::Polyline { points, closed: false });
            let at = [(from[0] + entry[0]) / 2.0, y + 1.2];
            sheet.text(Layer::Dimension, at, TEXT_HEIGHT, Anchor::Middle, &metres(length));
        } else {
            sheet.line(Layer::Edge, from, entry);
            let at = [(from[0] + entry[0]) / 2.0, to[1] + 1.2];
            sheet.text(Layer::Dimension, at, TEXT_HEIGHT, Anchor::Middle, &metres(length));
        }
        sheet.add(Layer::Edge, Figure::Circle { centre: to, radius: LAMP });
        let reach = LAMP * std::f64::consts::FRAC_1_SQRT_2;
        sheet.line(Layer::Edge, [to[0] - reach, to[1] - reach], [to[0] + reach, to[1] + reach]);
        sheet.line(Layer::Edge, [to[0] - reach, to[1] + reach], [to[0] + reach, to[1] - reach]);
        let name = job.trunks.get(trunk).map_or("", |t| t.name.as_str());
        sheet.text(
            Layer::Note,
            [to[0], to[1] + LAMP + 2.0],
            TEXT_HEIGHT,
            Anchor::Middle,
            &short(name),
        );
        let volts = study.fresh.as_ref().ok().and_then(|s| s.volts.get(k));
        let volts = volts.map_or("no volts".to_owned(), |v| format!("{v:.1}"));
        let at = [to[0], to[1] - LAMP - TEXT_HEIGHT - 2.0];
        sheet.text(Layer::Dimension, at, TEXT_HEIGHT, Anchor::Middle, &volts);
        from = [to[0] + LAMP, to[1]];
    }
    if feed.plan.returns() {
        let down = from[1] - 18.0;
        let points = vec![
            from,
            [from[0] + 4.0, from[1]],
            [from[0] + 4.0, down],
            [BORDER + BOX[0] / 2.0, down],
            [BORDER + BOX[0] / 2.0, corner[1]],
        ];
        sheet.add(Layer::Edge, Figure::Polyline { points, closed: false });
        let at = [(BORDER + BOX[0] + from[0]) / 2.0, down + 1.2];
        let text = format!("back {}", metres(feed.plan.back));
        sheet.text(Layer::Dimension, at, TEXT_HEIGHT, Anchor::Middle, &text);
    }
}

/// A name short enough to stand under a lamp.
fn short(name: &str) -> String {
    if name.chars().count() <= NAME {
        return name.to_owned();
    }
    name.chars().take(NAME - 1).chain(['\u{2026}']).collect()
}
