//! Templates at 1:1: pads, gasket path, drilling patterns, curve gauges, as SVG, DXF and A4 tiles.

use super::{Document, DocumentError, Subject};
use crate::design::cradle::pattern;
use crate::design::enclosure::Groove;
use crate::design::part::PartId;
use crate::formats::drawing::Drawing;
use crate::formats::dxf::dxf;
use crate::formats::svg::svg;
use crate::formats::templates::{self, Drilling, Gasket, Gauge, Hole, Pad, TemplateError, pages};
use crate::params::{HolePattern, Mount};
use crate::standards::GasketKind;
use crate::standards::fastener::HoleFit;
use crate::units::Length;

/// Pads are cut this much smaller than their seat, so that they lie down in it. Common practice.
const PAD_PLAY: Length = Length::mm(0.5);
/// Fillet of a pad's corners: a knife goes round.
const PAD_CORNER: Length = Length::mm(3.0);
/// Card kept round the holes of a drilling pattern.
const CARD: Length = Length::mm(12.0);

/// Every template of a job, but those of parts that an error blocks.
///
/// # Errors
/// [`DocumentError`] names the template that cannot be drawn.
pub(crate) fn files(subject: &Subject<'_>) -> Result<Vec<Document>, DocumentError> {
    let mut drawn: Vec<(String, Result<Drawing, TemplateError>)> = Vec::new();
    for (name, _, saddle) in subject.plan.saddles() {
        if subject.blocks(&name) {
            continue;
        }
        let [length, height] = saddle.pad_size();
        let pad = Pad {
            name: format!("Pad {name}"),
            length: length - PAD_PLAY,
            height: height - PAD_PLAY,
            corner: PAD_CORNER,
            cutouts: Vec::new(),
        };
        drawn.push((format!("pad-{name}"), templates::pad(&pad)));
        let gauge = Gauge {
            name: format!("Curve {name}"),
            radius: saddle.face_radius,
            width: saddle.pad_half_width * 2.0,
        };
        drawn.push((format!("curve-{name}"), templates::gauge(&gauge)));
    }
    let enclosure = subject.plan.enclosure.as_ref().filter(|_| !subject.blocks(&PartId::BoxBody));
    if let Some(enclosure) = enclosure {
        let Groove { centre_line: line, section } = &enclosure.groove;
        let [width, height] = line.half.map(|h| h * 2.0);
        let gasket = Gasket {
            name: "Gasket".into(),
            width,
            height,
            corner: line.radius,
            across: section.gasket.across(),
            spliced: section.gasket.kind() == GasketKind::Cord,
        };
        drawn.push(("gasket".into(), templates::gasket(&gasket)));
    }
    if let (Mount::BasePlate { pattern, thread }, false) =
        (&subject.job.fixture.mount, subject.blocks(&PartId::TiltPlate))
    {
        let diameter = thread.clearance_hole(HoleFit::Medium);
        drawn.push(("lamp-holes".into(), drilling("Lamp bolts", pattern, diameter)));
    }
    if let (Some(battery), Some(_)) = (&subject.job.battery, enclosure) {
        let receiver = &battery.receiver;
        let diameter = receiver.thread.clearance_hole(HoleFit::Medium);
        drawn.push((
            "receiver-holes".into(),
            drilling("Receiver screws", &receiver.holes, diameter),
        ));
    }
    let mut files = Vec::new();
    for (name, drawing) in drawn {
        let error = DocumentError::at(&name);
        let drawing = drawing.map_err(|e| error(&e))?;
        let text = svg(&drawing).map_err(|e| error(&e))?;
        files.push((format!("templates/{name}.svg"), text.into_bytes()));
        let text = dxf(&drawing).map_err(|e| error(&e))?;
        files.push((format!("templates/{name}.dxf"), text.into_bytes()));
        let tiles = pages(&drawing, templates::A4).map_err(|e| error(&e))?;
        if tiles.len() > 1 {
            for tile in tiles {
                let [row, column] = tile.place;
                let path = format!("templates/{name}-a4-{row}-{column}.svg");
                files.push((path, tile.svg.into_bytes()));
            }
        }
    }
    Ok(files)
}

fn drilling(name: &str, holes: &HolePattern, diameter: Length) -> Result<Drawing, TemplateError> {
    let points = pattern::points(holes);
    let reach = |axis: usize| {
        points.iter().map(|p| p[axis].abs()).fold(Length::ZERO, Length::max) * 2.0 + CARD * 2.0
    };
    let outline = [reach(0), reach(1)];
    // Holes are counted from the lower left corner of the card.
    let holes = points.iter().map(|p| {
        let centre = [0, 1].map(|axis| p[axis] + outline[axis] / 2.0);
        Hole { centre, diameter }
    });
    templates::drilling(&Drilling { name: name.into(), outline, holes: holes.collect() })
}
