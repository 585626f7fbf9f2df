//! What every sheet says before anything else.

/// Cautions in the order in which they matter on the day.
pub(crate) const CAUTIONS: &[&str] = &[
    "Ask the owner of the tree first, and follow the local rules for trees.",
    "Keep clear of nests and roosts. Look before you mount, and again before you take down.",
    "Pads everywhere: no bare strap on thin bark, no nail, no screw, no staple.",
    "Working at height: a second person at the foot of the ladder, and never lean a ladder on a strap \
     or on a fixture.",
    "A safety lanyard from every fixture and every box, round the trunk and not on the same strap.",
    "The sums are estimates. They do not replace a qualified person where people pass under the load.",
    "Keep the light out of windows and out of drivers' eyes.",
    "Low voltage still starts fires: the fuse sits at the battery, before everything else.",
    "Lithium batteries: no charging below 0 \u{b0}C or above 45 \u{b0}C, and none left charging under a tree.",
    "The IP figure is a design aim and not a test. Look for water inside after the first rain.",
    "Plastic creeps and webbing stretches: check straps and bolts again on the dates in the calendar.",
    "Take everything down after the season. A strap that stays girdles the tree as it grows.",
];
