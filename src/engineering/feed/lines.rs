//! The feed's sums as account lines.

use super::network::{Collapse, Solution};
use super::study::{Plan, Study};
use crate::engineering::account::{Line, Side};
use crate::standards::fuse::CONTINUOUS;
use crate::units::{Length, trimmed};

/// Source of the circuit laws.
const CIRCUIT: &str = "Kirchhoff's laws; IEC 60228 resistances, 250/(230 + t)";

/// Every sum of a studied feed, in the order in which they build on each other.
#[must_use]
pub fn lines(plan: &Plan, study: &Study) -> Vec<Line> {
    let mut lines = vec![resistance(plan, study)];
    lines.push(volts("volts at the worst lamp, battery nominal", &study.fresh, CIRCUIT));
    if let Ok(s) = &study.fresh {
        let most = study.nominal * plan.drop;
        lines.push(
            Line::new(
                "drop in the cables to the worst lamp",
                "sum of I_k R_k from the terminals to it",
                s.drop(),
                "limit by choice; IEC 60364-5-52 table G.52.1 has 3 to 8 % for fixed lighting",
            )
            .input("lamp", s.worst + 1)
            .input("share of nominal", percent(s.drop() / study.nominal))
            .against(Side::AtMost, s.drop().get(), most.get(), most),
        );
        lines.push(
            Line::new("power lost in the cables", "sum of I_k^2 R_k", s.cable_loss, "Joule's law")
                .input("power of the lamps", s.delivered)
                .input("lost in the battery", s.source_loss),
        );
    }
    let title = "volts at the worst lamp, charge drawn as planned";
    let mut spent = volts(title, &study.spent, CIRCUIT)
        .input("battery behind its resistance", plan.supply.spent)
        .input("cut-off", plan.supply.cutoff);
    if study.spent.is_err() {
        spent = spent.input("terminals", plan.supply.cutoff);
    }
    if let (Some(least), Ok(s)) = (plan.least, &study.spent) {
        spent = spent.against(Side::AtLeast, s.least().get(), least.get(), least);
    }
    lines.push(spent);
    lines.push(volts("the same lamps on an open chain", &study.chain, CIRCUIT));
    lines.push(volts("the same lamps on a loop", &study.ring, CIRCUIT));
    if let Some(broken) = &study.worst_break {
        let mut line =
            volts("worst break of the loop, charge drawn as planned", &broken.spent, CIRCUIT)
                .input("broken segment", broken.segment + 1);
        if let (Some(least), Ok(s)) = (plan.least, &broken.spent) {
            line = line.against(Side::AtLeast, s.least().get(), least.get(), least);
        }
        lines.push(line);
    }
    lines.push(fuse(plan, study));
    lines.push(far_short(plan, study));
    lines
}

fn resistance(plan: &Plan, study: &Study) -> Line {
    let first_way = plan.lengths.len().min(plan.apart.unwrap_or(usize::MAX));
    let total: Length = plan.lengths[..first_way].iter().copied().sum();
    let both = study.size.resistance(plan.strands, total * 2.0, plan.temperature);
    let result = both.map_or_else(|e| e.to_string(), |r| r.to_string());
    Line::new(
        if plan.apart.is_some() {
            "resistance of the cable from the box to the end of its first way, both conductors"
        } else {
            "resistance of the cable from the box to the last lamp, both conductors"
        },
        "2 L r20 (230 + t)/250",
        result,
        "IEC 60228 (AWG: ASTM B258)",
    )
    .input("conductor", study.size)
    .input("L", format!("{} m", trimmed(total.in_metres(), 2)))
    .input("r20", format!("{}/km", study.size.per_kilometre(plan.strands)))
    .input("t", plan.temperature)
    .input("a contact of a plug, counted beside it", plan.contact)
}

fn volts(title: &str, outcome: &Result<Solution, Collapse>, source: &str) -> Line {
    let formula = "V_k = V_k-1 - I_k R_k with I_k the draws behind it; P = V I at each lamp";
    match outcome {
        Ok(s) => Line::new(title, formula, s.least(), source)
            .input("lamp", s.worst + 1)
            .input("terminals", s.terminal)
            .input("current", s.current),
        Err(c) => Line::new(title, formula, c, source),
    }
}

fn fuse(plan: &Plan, study: &Study) -> Line {
    let least = study.continuous * CONTINUOUS;
    let line = Line::new(
        "fuse at the battery",
        "1.25 I_B <= I_n <= I_Z and I_2 <= 1.45 I_Z",
        match study.fuse {
            Ok(rating) => rating.to_string(),
            Err(none) => none.to_string(),
        },
        "IEC 60364-4-43; 1.25 for lasting loads is US and marine practice",
    )
    .input("I_B", study.continuous)
    .input("1.25 I_B", least)
    .input("I_Z", study.ampacity)
    .input("controller's efficiency", trimmed(plan.supply.efficiency, 3))
    .input("standby", plan.supply.standby);
    let most = plan.fuse_kind.largest_for(least, study.ampacity);
    let needed = study.fuse.unwrap_or_else(|none| none.next.unwrap_or(none.least));
    line.against(Side::AtMost, needed.get(), most.get(), most)
}

fn far_short(plan: &Plan, study: &Study) -> Line {
    Line::new(
        "least current of a short at a lamp",
        "V/(R_battery + R_cable), the charge drawn as planned, a loop broken at its worst",
        study.far_short,
        "Ohm's law; a fuse opens for sure above its conventional current",
    )
    .input("V", plan.supply.spent.max(plan.supply.cutoff))
    .input("R_battery", plan.supply.resistance)
}

fn percent(share: f64) -> String {
    format!("{} %", trimmed(100.0 * share, 2))
}
