//! The fit of one trunk as account lines.

use super::{Face, FitError, Foam, Margin, radius_of_girth};
use crate::engineering::account::{Line, Side};
use crate::units::{Length, trimmed};

const SOURCE: &str = "geometry of circular arcs; strain limits: common practice, no source";

/// Radius, hollow, strain and growth of a trunk on its face, in the order in which they are redone
/// by hand. `title` names the trunk.
///
/// # Errors
/// When the girth is not positive and finite.
pub(crate) fn lines(
    title: &str,
    girth: Length,
    face: Face,
    foam: Foam,
    margin: Margin,
) -> Result<Vec<Line>, FitError> {
    let radius = radius_of_girth(girth);
    let fit = face.fit(foam, radius)?;
    let percent = |e: f64| format!("{} %", trimmed(e * 100.0, 1));
    let hollow = Line::new(
        format!("{title}: depth of the hollow"),
        "Rc - sqrt(Rc^2 - w^2)",
        face.sagitta(),
        "geometry of circular arcs",
    )
    .input("Rc", face.radius())
    .input("w", face.half_width());
    let round = Line::new(format!("{title}: radius"), "girth / (2 pi)", radius, "circle")
        .input("girth", girth);
    let middle = 1.0 - fit.centre;
    let centre = Line::new(
        format!("{title}: pad strain in the middle"),
        "1 - g0 / t, g0 so that the mean strain is the nominal one within the limits",
        percent(fit.centre),
        SOURCE,
    )
    .input("t", foam.thickness())
    .input("g0", foam.thickness() * middle)
    .input("nominal", percent(foam.nominal_strain()))
    .against(Side::AtMost, fit.centre, foam.most_strain(), percent(foam.most_strain()));
    let edge = Line::new(
        format!("{title}: pad strain at the edge"),
        "1 - (sqrt(w^2 + (r + g0 - h)^2) - r) / t",
        percent(fit.edge),
        SOURCE,
    )
    .input("w", face.half_width())
    .input("r", radius)
    .input("h", face.sagitta())
    .input("g0", foam.thickness() * middle)
    .input("t", foam.thickness());
    // The limit on whose side the edge lies.
    let edge = if fit.edge < fit.centre {
        edge.against(Side::AtLeast, fit.edge, foam.least_strain(), percent(foam.least_strain()))
    } else {
        edge.against(Side::AtMost, fit.edge, foam.most_strain(), percent(foam.most_strain()))
    };
    let room = Line::new(
        format!("{title}: growth left"),
        "girth to the size's end / growth a year",
        margin.years.map_or("no growth given".into(), |y| format!("{} years", trimmed(y, 1))),
        "growth: the job's",
    )
    .input("girth to the end", margin.above);
    Ok(vec![round, hollow, centre, edge, room])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engineering::fit::margin;

    #[test]
    fn the_lines_can_be_redone_by_hand() {
        let foam = Foam::new(Length::mm(10.0), 0.1, 0.3, 0.5).unwrap();
        // h = 150 - sqrt(150^2 - 50^2) = 8.58 mm (worked example of arc height calculators).
        let face = Face::new(Length::mm(150.0), Length::mm(50.0)).unwrap();
        let m = margin(Length::mm(1000.0), Length::mm(900.0), Length::mm(1045.0), Length::mm(10.0));
        let told = lines("oak", Length::mm(1000.0), face, foam, m).unwrap();
        assert_eq!(told[0].result, "159.15 mm");
        assert_eq!(told[1].result, "8.58 mm");
        assert_eq!(told[4].result, "4.5 years");
        assert!(told.iter().all(|l| !l.fails()));
        // Redo the edge from the inputs as printed.
        let input = |name: &str| -> f64 {
            let (_, v) = told[3].inputs.iter().find(|(n, _)| n == name).unwrap();
            v.split(' ').next().unwrap().parse().unwrap()
        };
        let gap = libm::hypot(input("w"), input("r") + input("g0") - input("h")) - input("r");
        let edge: f64 = told[3].result.trim_end_matches(" %").parse().unwrap();
        assert!(((1.0 - gap / input("t")) * 100.0 - edge).abs() < 0.2);
    }
}
