//! The commented job file that `begin` writes to start from.

/// A whole job with its trunk and lamp filled in as an example, and everything that has a default
/// commented out at that default.
pub(crate) const STARTER: &str = r#"#:schema ./job.schema.json
# Measure, write the numbers here, then run the check. A bare number is in millimetres, degrees,
# kilograms, watts, volts or hours, as fits the key; text may carry a unit: "1.13 m", "44 1/2 in",
# "480 g", "35 deg". `why KEY` says what a key means and why its default is what it is.

[job]
name = "My evening"
# place = "where the trees stand"
# owner = "who owns them and has agreed"
# install = 2027-05-28
# take-down = 2027-09-05
# survey = "survey.csv"          # trunks from a spreadsheet, beside this file
# growth = "10 mm"               # girth growth a year
# years = 1                      # seasons that a print is to serve

# One table a trunk. Girth: tape level, over the bark, at the height where the cradle is to sit.
[[trunk]]
name = "First tree"
girth = "1.13 m"
# height = "1.3 m"               # of the girth and the cradle, above ground
# upper-girth = "1.05 m"         # a second girth higher up gives the taper
# upper-height = "2 m"
# lean = "0 deg"                 # toward the lamp's side positive
# fixtures = 1
# box = false                    # true where the battery box hangs
# crown-base = "3 m"
# crown-spread = "6 m"

# The lamp, measured with calipers.
[fixture]
name = "My flood"
width = 110                      # across the yoke
height = 85
depth = 50                       # along the beam
mass = "700 g"                   # with its own cable
power = "15 W"
# pivot-from-back = 25           # default: half the depth
# pivot-from-bottom = 42.5       # default: half the height
# cable-room = 0                 # behind the body
# lumens = 1400
# beam-angle = "60 deg"
# load = "constant-power"        # or "constant-current"
# min-voltage = "10 V"
# max-voltage = "24 V"

# Two threaded bosses at the sides ...
[fixture.mount]
kind = "side-bosses"
span = 116                       # over both boss faces
thread = "M6"
# lock-radius = 26               # a second boss for the lock, about the pivot
# lock-angle = 142               # where it lies at tilt 0: 0 toward the beam, 90 up, 180 behind

# ... or holes in the back:
# [fixture.mount]
# kind = "base-plate"
# thread = "M4"
# holes = { pattern = "rectangle", width = 60, height = 50 }
#       or { pattern = "circle", diameter = 60, count = 3 }
#       or { pattern = "points", points = [[-30, 0], [30, 0], [0, 25]] }

# [tilt]
# min = "0 deg"                  # beam above level
# max = "75 deg"

# How many straps a cradle has and how thick the foam is follow from the trees, unless you write count
# or, in [pad], thickness.
# [strap]
# width = 25
# thickness = 1.5
# working-load = "500 N"         # of one strap in straight pull, on its label

# The box is made when there is a battery.
# [battery]
# name = "My pack"
# length = 128
# width = 78
# height = 72
# mass = "1 kg"
# chemistry = "li-ion"           # "lifepo4", "lead-acid" or "nimh"
# voltage = "18 V"
# capacity = "5 Ah"
# [battery.receiver]             # the plate that the pack slides on
# thickness = 6
# thread = "M4"
# holes = { pattern = "rectangle", width = 54, height = 42 }

# [controller]
# name = "My dimmer"
# length = 84
# width = 52
# height = 24
# mass = "70 g"
# thread = "M3"
# holes = { pattern = "rectangle", width = 76, height = 44 }

# [[gland]]                      # cable glands in the downward wall of the box
# size = "M16"
# count = 2

# [vent]
# size = "M12"

# [printer]
# bed = [220, 220, 250]
# line = 0.45
# layer = 0.2
# time-factor = 1                # real time over estimated time, from one finished print

# [polymer]
# kind = "petg"                  # "pla", "abs", "asa" or "pc"
# price = 25                     # a kilogram, in your money

# [feed]
# layout = "chain"               # "loop" needs `back`
# lead = "3 m"                   # from the box to the first lamp
# segments = "8 m"               # between lamps: one length for all, or a list
# back = "20 m"                  # from the last lamp back to the box

# [[programme.part]]
# level = 1
# duration = "4 h"

# [site]
# gust = "20 m/s"
# cold = "5 C"
# warm = "30 C"

# [[glare]]                    # a window or a road that must not be dazzled
# name = "window opposite"
# distance = "25 m"
# height = "4 m"
"#;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::read;

    #[test]
    fn the_starter_reads_without_a_problem() {
        let job = read(STARTER).unwrap().job;
        assert_eq!(job.trunks.len(), 1);
        assert!(job.battery.is_none());
    }

    #[test]
    fn the_starter_reads_too_when_every_example_is_uncommented() {
        let is_example = |line: &str| {
            let rest = line.trim_start_matches("# ");
            rest != line
                && (rest.starts_with('[')
                    || rest.split_once(" = ").is_some_and(|(k, _)| {
                        k.chars().all(|c| c.is_ascii_lowercase() || c == '-')
                    }))
        };
        let start = STARTER.find("# ... or holes").unwrap();
        let end = STARTER.find("# [tilt]").unwrap();
        let one_mount = format!("{}{}", &STARTER[..start], &STARTER[end..]);
        let full: String = one_mount
            .replace("layout = \"chain\"  ", "layout = \"loop\"  ")
            .lines()
            .filter(|line| !line.starts_with("# survey"))
            .map(|line| {
                let kept = if is_example(line) { line.trim_start_matches("# ") } else { line };
                format!("{kept}\n")
            })
            .collect();
        let job = read(&full).unwrap_or_else(|p| panic!("{p:#?}\n{full}")).job;
        assert!(job.battery.is_some() && job.controller.is_some() && job.vent.is_some());
        assert_eq!((job.glands.len(), job.glare.len()), (1, 1));
        assert_eq!(job.trunks[0].upper_girth, Some(crate::units::Length::mm(1050.0)));
        // Examples of optional tables stand at their defaults.
        let plain = read(STARTER).unwrap().job;
        assert_eq!((job.tilt, job.strap, job.pad), (plain.tilt, plain.strap, plain.pad));
        assert_eq!(
            (job.printer, job.site, job.programme),
            (plain.printer, plain.site, plain.programme)
        );
    }
}
