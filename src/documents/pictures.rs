//! Pictures of a set: every part as it lies on the bed, what hangs on a trunk, dimensioned views, and
//! the cable plan.
//!
//! A [`Shot`] is a picture that is still to be drawn. Shots do not depend on each other, so that the
//! caller may draw them at once on several processors; the bytes are the same either way.

use super::assembly;
use super::scene::{Appearance, Piece, PreviewMeshes};
use super::{DocumentError, Subject, dimensions, feed_plan, pull_chart};
use crate::design::part::PartKind;
use crate::formats::camera::Camera;
use crate::formats::drawing::Drawing;
use crate::formats::raster::{Scene, Shape, render};
use crate::formats::sheet::{Picture, PictureContent};
use crate::formats::svg::svg;
use crate::units::Angle;

/// Paper of the shaded pictures.
const PAPER: [u8; 3] = [255, 255, 255];
/// Size of a picture of a part, pixels.
const PART_SIZE: [u32; 2] = [800, 600];
/// Size of a picture of what hangs on a trunk, pixels.
const SCENE_SIZE: [u32; 2] = [1000, 750];

/// A picture to be drawn.
#[derive(Debug, PartialEq)]
pub(crate) struct Shot {
    path: String,
    title: String,
    alt: String,
    view: View,
}

#[derive(Debug, PartialEq)]
enum View {
    /// Shaded bodies.
    Shaded { pieces: Vec<Piece>, camera: Camera, size: [u32; 2] },
    /// Dimensioned views of a part.
    Measured(dimensions::Views),
    /// A finished drawing.
    Drawn(Drawing),
}

impl Shot {
    /// Where the picture is written, relative to the set.
    #[must_use]
    pub(crate) fn path(&self) -> &str {
        &self.path
    }

    /// Draws it.
    ///
    /// # Errors
    /// [`DocumentError`] names the picture that cannot be drawn.
    pub(crate) fn draw(&self) -> Result<Picture, DocumentError> {
        let fault = DocumentError::at(&self.path);
        let text = |drawing: &Drawing| svg(drawing).map(PictureContent::Svg).map_err(|e| fault(&e));
        let content = match &self.view {
            View::Shaded { pieces, camera, size } => {
                let shapes = pieces.iter().map(|p| Shape {
                    mesh: &p.mesh,
                    colour: p.appearance.colour(),
                    opacity: p.opacity,
                });
                let shapes = shapes.collect();
                let scene = Scene { shapes, camera: *camera, background: Some(PAPER) };
                PictureContent::Png(render(&scene, size[0], size[1]).map_err(|e| fault(&e))?)
            }
            View::Measured(views) => text(&views.draw()?)?,
            View::Drawn(drawing) => text(drawing)?,
        };
        Ok(Picture { title: self.title.clone(), alt: self.alt.clone(), content })
    }
}

/// Every picture of a set, in the order in which they are listed.
///
/// # Errors
/// [`DocumentError`] when a trunk's parts cannot be put together.
pub(crate) fn shots(
    subject: &Subject<'_>,
    preview_meshes: &PreviewMeshes,
) -> Result<Vec<Shot>, DocumentError> {
    let mut shots = Vec::new();
    let trunks = Shown::of(subject);
    if let Some(trunk) = trunks.lamp {
        let name = &subject.job.trunks[trunk].name;
        shots.push(Shot {
            path: "pictures/assembly-cradle.png".into(),
            title: format!("Cradle and lamp on {name}, at both ends of the tilt range"),
            alt: format!(
                "The trunk {name} with straps, pad, cradle, lamp and its cable; the lamp is drawn solid at the \
                 lowest tilt and see-through at the highest"
            ),
            view: View::Shaded {
                pieces: assembly::apply_taper_and_lean(
                    subject,
                    trunk,
                    assembly::cradles(subject, preview_meshes, trunk)?,
                ),
                camera: looking(-38.0, 20.0),
                size: SCENE_SIZE,
            },
        });
    }
    if let Some(trunk) = trunks.boxed {
        let name = &subject.job.trunks[trunk].name;
        shots.push(Shot {
            path: "pictures/assembly-box.png".into(),
            title: format!("Box on {name}, below the cradle; the lid see-through"),
            alt: format!(
                "The trunk {name} with the box on its two rails, straps and pads, and the cable from \
                 the lamp to its gland; battery and controller show through the lid"
            ),
            view: View::Shaded {
                pieces: assembly::apply_taper_and_lean(
                    subject,
                    trunk,
                    assembly::whole(subject, preview_meshes, trunk)?,
                ),
                camera: looking(-38.0, 16.0),
                size: SCENE_SIZE,
            },
        });
    }
    for made in subject.made {
        let part = &made.spec.part;
        let Some(mesh) = preview_meshes.get(&part.id) else { continue };
        let (azimuth, elevation) = match part.id.kind() {
            PartKind::Cradle => (-22.0, 30.0),
            PartKind::TiltPlate => (32.0, 40.0),
            PartKind::BoxBody => (158.0, 56.0),
            PartKind::BoxLid => (158.0, 50.0),
            PartKind::Knob => (20.0, 40.0),
            PartKind::Rail => (142.0, 30.0),
            PartKind::TestPiece => (-145.0, 40.0),
        };
        let mesh = mesh.posed(&part.print);
        let piece = Piece::part(subject, &part.id, Appearance::Print, mesh);
        let blocked =
            if subject.blocks(&part.id) { ": blocked by an error, do not print" } else { "" };
        shots.push(Shot {
            path: format!("pictures/{}.png", part.id),
            title: format!("{}, as it lies on the bed{blocked}", part.id),
            alt: format!("Shaded picture of the part {} in its print pose{blocked}", part.id),
            view: View::Shaded {
                pieces: vec![piece],
                camera: looking(azimuth, elevation),
                size: PART_SIZE,
            },
        });
    }
    for views in dimensions::all(subject) {
        shots.push(Shot {
            path: format!("pictures/{}.svg", views.part()),
            title: format!("{} with its dimensions in mm", views.part()),
            alt: format!("{} with dimensions, from {}", views.part(), views.sides()),
            view: View::Measured(views),
        });
    }
    if let Some(drawing) = feed_plan::drawing(subject) {
        shots.push(Shot {
            path: "pictures/feed.svg".into(),
            title: "Feed: cable lengths, and volts at each lamp".into(),
            alt: "Diagram of the cables from each box to its lamps; the table below says the same"
                .into(),
            view: View::Drawn(drawing),
        });
    }
    if let Some((drawing, [title, alt])) =
        pull_chart::drawing(subject).zip(pull_chart::told(subject))
    {
        shots.push(Shot { path: pull_chart::PATH.into(), title, alt, view: View::Drawn(drawing) });
    }
    Ok(shots)
}

/// Trunks that stand for all in pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shown {
    /// A trunk with a lamp.
    pub lamp: Option<usize>,
    /// A trunk with a box, and with a lamp above it where there is one.
    pub boxed: Option<usize>,
}

impl Shown {
    /// The first trunks that show most.
    #[must_use]
    pub(crate) fn of(subject: &Subject<'_>) -> Self {
        let trunks = || subject.job.trunks.iter().zip(&subject.plan.trunks).enumerate();
        let lamp =
            |(i, (trunk, gets)): (usize, (&crate::params::Trunk, &crate::design::TrunkPlan))| {
                (trunk.fixtures > 0 && gets.cradle.is_some()).then_some((i, gets.rail.is_some()))
            };
        let lit: Vec<(usize, bool)> = trunks().filter_map(lamp).collect();
        let both = lit.iter().find(|l| l.1).map(|l| l.0);
        let any_box = || trunks().find(|(_, (_, gets))| gets.rail.is_some()).map(|(i, _)| i);
        Self { lamp: lit.first().map(|l| l.0), boxed: both.or_else(any_box) }
    }
}

/// A view from the front, turned to the viewer's right and raised, in degrees.
fn looking(azimuth: f64, elevation: f64) -> Camera {
    Camera::turned(Angle::degrees(azimuth), Angle::degrees(elevation))
}
