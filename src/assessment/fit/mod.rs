//! How saddles and pads fit the trunks: measured girths, printed sizes, pads under strain.

pub(super) mod curve_misfit;
pub(super) mod girth_suspicious;
pub(super) mod seat_off_curve;
