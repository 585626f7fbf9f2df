//! What a print costs: plastic, length of filament, money, time, and how much it wants to curl.
//!
//! Deposited volume: walls are offset level and skins upright, so a face of area A with unit normal n
//! is backed by A (|n_h| w + |n_z| s) of solid plastic, n_h and n_z the level and upright parts of n, w
//! the walls' thickness (lines times line width) and s the skins' (layers times layer height). The sum
//! is held to the part's volume; the rest is filled to the infill's share. Shells that overlap in edges
//! and thin walls are counted twice up to that cap, so the estimate is on the high side.
//!
//! Time = factor x (deposited / flow + layers x [`LAYER_PAUSE`]): an estimate, to be set right by the
//! factor from one finished print. Mass is volume times the density of [`crate::standards::polymer`].

use crate::mesh::{MeshFault, TriMesh, measure};
use crate::space::{cross, norm, sub};
use crate::standards::PolymerKind;
use crate::standards::polymer::polymer as row;
use crate::units::{Area, Hours, Length, Mass, Volume};

/// Diameter of filament: 1.75 mm, common practice, no source.
pub const FILAMENT: Length = Length::mm(1.75);

/// Seconds a layer takes beside extruding: lift, travel, start and stop. Common practice, no source;
/// the printer's time factor sets it right together with the flow.
pub const LAYER_PAUSE: f64 = 2.0;

/// Free shrinkage across the footprint beyond which corners are likely to lift without a brim.
/// Common practice, no source.
pub const WARP_LIMIT: Length = Length::mm(0.7);

/// What the sums need of slicer and plastic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintSettings {
    /// Width of an extrusion line.
    pub line: Length,
    /// Height of a layer.
    pub layer: Length,
    /// Lines in a wall.
    pub walls: u32,
    /// Layers in a skin.
    pub skins: u32,
    /// Share of the inside that is filled, 0 to 1.
    pub infill: f64,
    /// Plastic that the printer lays down, cubic millimetres a second.
    pub flow: f64,
    /// Time taken over time estimated.
    pub time_factor: f64,
    /// Polymer.
    pub polymer: PolymerKind,
    /// Price of a kilogram, in the user's money.
    pub price: Option<f64>,
}

/// The account of one printed copy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintAccount {
    /// Volume of the solid.
    pub volume: Volume,
    /// Surface of the solid.
    pub area: Area,
    /// Plastic laid down: walls, skins and infill.
    pub deposited: Volume,
    /// Mass of that plastic.
    pub mass: Mass,
    /// Length of [`FILAMENT`] drawn in.
    pub filament: Length,
    /// Price of that plastic in the user's money, where a price is given.
    pub cost: Option<f64>,
    /// Number of layers.
    pub layers: u32,
    /// Time to print, an estimate.
    pub time: Hours,
    /// How much the longest line across the footprint would shrink if nothing held it.
    pub shrinkage: Length,
    /// Whether that is beyond [`WARP_LIMIT`]: use a brim, and keep draughts out.
    pub may_warp: bool,
}

/// Why there is no account.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PrintError {
    /// No mesh at all.
    #[error(transparent)]
    Fault(#[from] MeshFault),
    /// The solid has no volume.
    #[error("the part has volume {0}, it must be above zero")]
    NoVolume(Volume),
    /// A number of the printer is out of its range.
    #[error("printer.{0} must be a number above zero")]
    Printer(&'static str),
    /// The infill is no share.
    #[error("printer.infill is {0}, it must lie between 0 and 1")]
    Infill(f64),
    /// The price is no price.
    #[error("polymer.price is {0}, it must be zero or more")]
    Price(f64),
}

/// Accounts for one copy of a closed mesh in its print pose.
///
/// # Errors
/// [`PrintError`].
pub fn print_account(mesh: &TriMesh, settings: &PrintSettings) -> Result<PrintAccount, PrintError> {
    let measures = measure(mesh)?;
    let volume = measures.volume;
    if volume <= Volume::ZERO {
        return Err(PrintError::NoVolume(volume));
    }
    let above_zero = |key, value: f64| {
        if value.is_finite() && value > 0.0 { Ok(value) } else { Err(PrintError::Printer(key)) }
    };
    let line = above_zero("line", settings.line.get())?;
    let layer = above_zero("layer", settings.layer.get())?;
    let flow = above_zero("flow", settings.flow)?;
    let factor = above_zero("time_factor", settings.time_factor)?;
    if !(0.0..=1.0).contains(&settings.infill) {
        return Err(PrintError::Infill(settings.infill));
    }
    if let Some(price) = settings.price.filter(|p| !p.is_finite() || *p < 0.0) {
        return Err(PrintError::Price(price));
    }
    let (walls, skins) = (line * f64::from(settings.walls), layer * f64::from(settings.skins));
    let solid = shell(mesh, walls, skins).min(volume.get());
    let deposited = solid + settings.infill * (volume.get() - solid);
    let [x, y, z] = measures.bounds.size();
    // A height of a whole number of layers may come out a rounding above it.
    let layers = (z.get() / layer - 1e-6).ceil().clamp(1.0, f64::from(u32::MAX));
    let seconds = factor * (deposited / flow + layers * LAYER_PAUSE);
    let figures = row(settings.polymer);
    let mass = Mass::kg(deposited * 1e-6 * figures.density);
    let section = std::f64::consts::PI / 4.0 * FILAMENT.get() * FILAMENT.get();
    let across = Length::mm(libm::hypot(x.get(), y.get()));
    let shrinkage = across * figures.shrink;
    Ok(PrintAccount {
        volume,
        area: measures.area,
        deposited: Volume::mm3(deposited),
        mass,
        filament: Length::mm(deposited / section),
        cost: settings.price.map(|price| price * mass.get()),
        layers: layers as u32,
        time: Hours::hours(seconds / 3600.0),
        shrinkage,
        may_warp: shrinkage > WARP_LIMIT,
    })
}

/// Volume of solid plastic behind the surface, overlaps counted twice.
fn shell(mesh: &TriMesh, walls: f64, skins: f64) -> f64 {
    let behind = |t: usize| {
        let [a, b, c] = mesh.corners(t);
        let n = cross(sub(b, a), sub(c, a));
        (norm([n[0], n[1], 0.0]) * walls + n[2].abs() * skins) / 2.0
    };
    (0..mesh.triangles.len()).map(behind).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{cuboid, inside_out};

    /// Lines of 0.5 mm in layers of 0.2 mm, walls 2 mm and skins 1 mm thick.
    fn petg(price: Option<f64>) -> PrintSettings {
        PrintSettings {
            line: Length::mm(0.5),
            layer: Length::mm(0.2),
            walls: 4,
            skins: 5,
            infill: 0.25,
            flow: 8.0,
            time_factor: 1.0,
            polymer: PolymerKind::Petg,
            price,
        }
    }

    #[test]
    fn a_solid_of_100_cubic_centimetres_of_petg_weighs_127_grams() {
        // PETG at 1.27 g/cm3 (Processes 2025, 13(9), 2733); 1 kg of it is 327 m of 1.75 mm filament:
        // 1 / (1.27e-3 x pi/4 x 1.75^2) by hand.
        let full = PrintSettings { infill: 1.0, ..petg(Some(20.0)) };
        let a = print_account(&cuboid([50.0, 50.0, 40.0]), &full).unwrap();
        assert!((a.mass.get() - 0.127).abs() < 1e-12);
        assert!((a.filament.in_metres() / a.mass.get() - 327.37).abs() < 0.01);
        assert!((a.cost.unwrap() - 2.54).abs() < 1e-9);
        assert_eq!(a.layers, 200);
        // 100 000 mm3 at 8 mm3/s and 200 pauses of 2 s: 12 900 s.
        assert!((a.time.get() - 12_900.0 / 3600.0).abs() < 1e-12);
    }

    #[test]
    fn walls_and_skins_are_solid_and_the_rest_is_infill() {
        // 100 mm cube: four sides of 1e4 x 2.0 mm, two of 1e4 x 1.0 mm, the rest a quarter full.
        let a = print_account(&cuboid([100.0; 3]), &petg(None)).unwrap();
        let solid = 1e4 * (4.0 * 2.0 + 2.0 * 1.0);
        assert!((a.deposited.get() - (solid + 0.25 * (1e6 - solid))).abs() < 1e-6);
        assert_eq!(a.cost, None);
        // A sheet all walls is solid through and through.
        let sheet = print_account(&cuboid([100.0, 3.0, 100.0]), &petg(None)).unwrap();
        assert!((sheet.deposited.get() - 30_000.0).abs() < 1e-9);
    }

    #[test]
    fn abs_curls_where_petg_lies_flat() {
        // Shrinkages of the polymer table: 0.8 % and 0.4 % of a diagonal of 100 mm.
        let plate = cuboid([80.0, 60.0, 5.0]);
        let abs = PrintSettings { polymer: PolymerKind::Abs, ..petg(None) };
        let (abs, petg) =
            (print_account(&plate, &abs).unwrap(), print_account(&plate, &petg(None)).unwrap());
        assert!((abs.shrinkage.get() - 0.8).abs() < 1e-12 && abs.may_warp);
        assert!((petg.shrinkage.get() - 0.4).abs() < 1e-12 && !petg.may_warp);
    }

    #[test]
    fn numbers_out_of_range_are_named() {
        let part = cuboid([9.0; 3]);
        let with = |p: PrintSettings| print_account(&part, &p);
        assert_eq!(
            with(PrintSettings { flow: 0.0, ..petg(None) }),
            Err(PrintError::Printer("flow"))
        );
        assert_eq!(
            with(PrintSettings { layer: Length::mm(f64::NAN), ..petg(None) }),
            Err(PrintError::Printer("layer"))
        );
        assert_eq!(with(PrintSettings { infill: 1.1, ..petg(None) }), Err(PrintError::Infill(1.1)));
        assert!(print_account(&part, &petg(Some(-1.0))).is_err());
        assert!(print_account(&inside_out(&part), &petg(None)).is_err());
    }
}
