//! The account of hold and pressure, told so that it can be redone by hand.
//!
//! Forces in newtons, pressures in kilopascals; every line repeats the sums of [`super::window`].

use super::super::account::{Line, Side};
use super::super::wind::peel;
use super::by_hand;
use super::window::{HoldInput, WindowError};
use crate::units::{Force, Pressure, trimmed};

/// The account of hold and pressure at a tension.
///
/// # Errors
/// As [`HoldInput::window`].
pub(crate) fn lines(input: &HoldInput<'_>, tension: Force) -> Result<Vec<Line>, WindowError> {
    let window = input.window()?;
    let per = input.per_newton()?;
    let mut lines = Vec::new();
    for (seat, (load, per)) in input.seats.iter().zip(&per).enumerate() {
        let name =
            if input.seats.len() == 1 { String::new() } else { format!(", saddle {}", seat + 1) };
        let t = tension.get();
        let pressed = Force::newtons(per.seat * t);
        let capacity = Force::newtons(t * (input.pad_friction * per.seat + per.bark_friction));
        let side = load.side * input.side_lever(load);
        let demand = Force::newtons(input.safety * libm::hypot(load.weight.get(), side.get()));
        lines.push(
            Line::new(
                format!("force of the straps on the pad{name}"),
                "n T k 2 sin(turn/2)",
                format!("{pressed:.0}"),
                "statics; share kept after capstan loss and relaxation",
            )
            .input("n", input.straps)
            .input("T", format!("{tension:.0}"))
            .input("k", trimmed(per.seat / per.seat_fresh, 3))
            .input("turn", input.path.seat_turn(seat)),
        );
        lines.push(
            Line::new(
                format!("hold against sliding{name}"),
                "mu N + B against safety sqrt(W^2 + S^2)",
                format!("{capacity:.0}"),
                "Coulomb friction; wet bark, common practice, no source",
            )
            .input("mu", input.pad_friction)
            .input("N", format!("{pressed:.0}"))
            .input("B (webbing on bark)", format!("{:.0}", Force::newtons(per.bark_friction * t)))
            .input("safety", input.safety)
            .input("W", load.weight)
            .input("S (side gust with its lever)", side)
            .against(
                Side::AtLeast,
                capacity.get(),
                demand.get(),
                format!("{demand:.0}"),
            ),
        );
        let pad = input.pad_pressure(seat, tension)?;
        lines.push(
            Line::new(
                format!("hardest place of the pad on bark{name}"),
                "(N0 + 6 M / H) / A + E max(2/3 d, -1/3 d)",
                format!("{pad:.0}"),
                "elastic foundation; limit is common practice, no source",
            )
            .input("N0", format!("{:.0}", Force::newtons(per.seat_fresh * t)))
            .input("M", format!("{:.2}", peel(&input.peel_input(load))?.moment))
            .input("H", format!("{:.0}", load.pad_height))
            .input("A", format!("{:.0}", load.pad_area))
            .input("E", format!("{:.0}", input.pad_modulus))
            .input("d", trimmed(load.spread, 3))
            .against(Side::AtMost, pad.get(), input.bark_limit.get(), input.bark_limit),
        );
    }
    let bare = input.bare_pressure(tension)?;
    if bare > Pressure::ZERO {
        lines.push(
            Line::new("strap on bare bark", "T / (r b)", format!("{bare:.0}"), "Mott, band brakes")
                .input("T", format!("{tension:.0}"))
                .input("b", input.strap_width)
                .against(Side::AtMost, bare.get(), input.bark_limit.get(), input.bark_limit),
        );
    }
    let hand = by_hand(tension);
    lines.push(
        Line::new(
            "tension to pull",
            format!("least {}, most set by {}", window.need.words(), window.cap.words()),
            format!("{tension:.0}: {}, {} on a luggage scale", hand.words, hand.scale),
            "closed form of every condition; words of the hand are common practice",
        )
        .input("least", format!("{:.0}", window.least))
        .input("most", format!("{:.0}", window.most))
        .against(
            Side::AtMost,
            tension.get(),
            window.most.get(),
            format!("{:.0}", window.most),
        ),
    );
    Ok(lines)
}
