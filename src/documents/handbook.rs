//! The handbook: pages that are not about one key or one finding, printed by `why`.
//!
//! Where to measure (with drawings), the first print, the limits of the tool, versions and exit
//! codes. Pages about keys come from the declarations in [`crate::params`], pages about findings from
//! the rules in [`crate::assessment`], pages about mistakes from [`crate::params::problem::MISTAKES`].

use crate::documents::measuring;
use crate::formats::drawing::Drawing;

/// A page of the handbook.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Page {
    /// What `why` takes: kebab-case words.
    pub name: &'static str,
    /// What it is about, in one phrase.
    pub title: &'static str,
    /// The page, in lines of at most 80 characters.
    pub text: &'static str,
    /// The drawing that goes with it.
    pub picture: Option<fn() -> Drawing>,
}

/// Every page, in reading order.
pub(crate) const PAGES: &[Page] = &[
    Page {
        name: "measuring-trunk",
        title: "where to put tape and calipers on a trunk",
        text: MEASURING_TRUNK,
        picture: Some(measuring::trunk),
    },
    Page {
        name: "measuring-lamp",
        title: "where to put the calipers on a lamp",
        text: MEASURING_LAMP,
        picture: Some(measuring::lamp),
    },
    Page {
        name: "measuring-strap",
        title: "what to measure and to read on a strap",
        text: MEASURING_STRAP,
        picture: Some(measuring::strap),
    },
    Page {
        name: "measuring-box",
        title: "what to measure on battery and controller",
        text: MEASURING_BOX,
        picture: None,
    },
    Page { name: "survey", title: "trunks from a spreadsheet", text: SURVEY, picture: None },
    Page {
        name: "first-print",
        title: "test pieces before whole parts",
        text: FIRST_PRINT,
        picture: None,
    },
    Page {
        name: "next-year",
        title: "thicker trunks: what is kept and what is printed",
        text: NEXT_YEAR,
        picture: None,
    },
    Page { name: "limits", title: "what the sums do not know", text: LIMITS, picture: None },
    Page {
        name: "versions",
        title: "job files and sets of other versions",
        text: VERSIONS,
        picture: None,
    },
    Page { name: "exit-codes", title: "what a run ends with", text: EXIT_CODES, picture: None },
];

const MEASURING_TRUNK: &str = "\
girth         tape once round, level, over the bark, snug but not pressed in, at the
              height where the cradle is to sit; read to the millimetre, or to 1/8 in
height        of that tape above the ground; 1.3 m when nothing is written
upper-girth   for a trunk that tapers: a second girth, with its upper-height
diameters     for a trunk that is clearly oval: two caliper diameters at the cradle,
              first toward the lamp, then across; the girth is still wanted
straight-edge for a trunk that is flatter or more ridged there than its girth says: lay
              a straight edge level against the bark where the cradle is to sit; write
              [its length, the gap at one end, the gap at the other]; half as long as
              the trunk is wide tells most
lean          from upright; toward the lamp's side it is positive
crown-base    from the ground to the lowest branches to be lit; with crown-spread,
              the width of the crown, it sets the tilt

A tape that runs askew reads long: walk round once and look at it from both sides.
Burls, flutes and ivy are not modelled: choose another height. How far readings may
be off is `job.girth-tolerance`.

Write any of these:  \"1.13 m\"  \"113 cm\"  1130  \"44 1/2 in\"  \"3 ft 8 1/2 in\"
";

const MEASURING_LAMP: &str = "\
width              of the body across the yoke, without bosses
height, depth      of the body, beam level: bottom to top, and along the beam
mass               with its own cable, on a kitchen scale

Side bosses (kind = \"side-bosses\"):
span               over both boss faces: outer jaws of the calipers
thread             of the bosses: try a screw, M5 or M6 are common
pivot-from-back    from the back face to the middle of the boss
pivot-from-bottom  from the lower face to the middle of the boss
lock-radius        from the middle of the boss to that of the lock boss, if there is one
lock-angle         where that lies, the beam level: 0 toward the beam, 90 up, 180 behind

Base plate (kind = \"base-plate\"): the holes from middle to middle. Measure from the
left edge of one hole to the left edge of the next: that is the same, and easier.

cable-room         what cable and plug need behind the body
";

const MEASURING_STRAP: &str = "\
width         of the webbing, with calipers, flat and not pulled
thickness     lightly pinched; both layers where the webbing is folded back
buckle        webbing that the buckle takes up, from where it enters to the tail
tail          free end to pull on
working-load  printed on the label, of one strap in straight pull; a breaking load is
              not a working load, it is several times higher
tension       what the hands pull in; a luggage scale in the strap shows it
";

const MEASURING_BOX: &str = "\
battery     length, width and height of the pack with its plug in; mass, volts and
            ampere-hours from its label
receiver    thickness of the plate that the pack slides on, its holes from middle to
            middle, and their thread
controller  length, width and height with plugs in, holes from middle to middle
gland       one cable gland a cable, by its metric size, such as M16
";

const SURVEY: &str = "\
Name the file in the job file, which lies beside it:  survey = \"trees.csv\"
Save the spreadsheet as CSV in UTF-8. The first row names the columns, in any order;
each further row is a trunk; an empty cell takes the default.

name             of the trunk, unlike every other; must be there
girth            over bark, where the cradle is to sit; must be there
height           above ground of the girth and of the cradle; 1.3 m when empty
upper-girth      a second girth higher up, for the taper
upper-height     above ground of the second girth
diameter-toward  of an oval trunk, by calipers, toward the lamp
diameter-across  of an oval trunk, at right angles to that
edge-length      of a straight edge laid level against the bark there
edge-gap-left    from the bark to the edge's one end
edge-gap-right   from the bark to its other end
lean             from upright; toward the lamp's side positive
bark             smooth, fissured or deeply-furrowed; smooth when empty
fixtures         lamps on this trunk; 1 when empty
box              yes where the battery box hangs
growth           of the girth in a year, when it is not the job's
crown-base       above ground to the lowest branches to be lit
crown-spread     width of the crown
notes            anything worth remembering on the ladder

Units      a head may carry the unit of bare numbers: girth [cm], girth (cm), girth cm;
           a cell may carry its own: 44 1/2 in. Otherwise millimetres and degrees.
Heads      capitals do not count; common names are taken: tree, ID or No for name,
           GBH or circumference for girth, lamps for fixtures, remarks for notes.
Separator  commas, semicolons or tabs; a decimal comma is read: 113,5
Remarks    lines that begin with #
";

const FIRST_PRINT: &str = "\
Print the test pieces first (print/test-*): minutes that save hours.

test-curve  hold it with a strip of the foam against the bark where the cradle is to
            sit: it should touch over its whole length; if it rocks or gapes, measure
            the girth again, or choose another height
test-yoke   push the lamp's bolts through; the lamp must turn without play to speak of
test-seal   lay the gasket into the groove, melt an insert into its hole, screw a gland
            through the other

Then one cradle. Print it as it lies in the file, standing, with the walls and the
infill that the sheet gives, without supports. Weigh it and compare with the sheet:
a print that is much lighter has thinner walls than the sums count on. Write how much
longer it took than the sheet says as `printer.time-factor`. Then the beds.
";

const NEXT_YEAR: &str = "\
Measure again, and ask before anything is printed:

  bolewright fit JOB \"1.19 m\"                    does a size of the job serve it?
  bolewright check JOB --girth \"Old Lime=1.19 m\"  as if the job file said so
  bolewright make JOB --since out/LAST-YEAR       last year's prints count as printed

Trunks keep what still serves them, hand on what another trunk can use, and only the
rest is on the beds. A print is known by the letters engraved on it and by its
record in the manifest: what it fits, what it is printed in, its shape, and what it was
proven for. It counts while it fits, is of the plastic asked for and no weaker, and is
either the shape that would be drawn today or proven for all that today's job asks: a
lighter lamp or a calmer site needs no print. Else the reason names what does not fit.
Of a print that is kept although today's drawing differs, pictures and part files show
today's drawing. Without `--since` a set that is there is compared with, but nothing of
it counts as printed.
";

const LIMITS: &str = "\
- Sums are estimates. Where people pass under the load they do not replace a
  qualified person: hang a safety lanyard from every lamp and box.
- Friction of foam and webbing on bark has no published table: the defaults are
  cautious, unverified, and marked so. Try your foam wet.
- The bark pressure limit is common practice, no source. Councils publish strap
  rules; ask and follow them.
- The IP degree is a design aim, not a test.
- Trunks are circles, ellipses and cones. Burls, flutes and forks are not modelled:
  choose another height, or try the test curve first.
- Printed strength varies with the printer; the tables are handbook figures with
  factors, not tests of your spool.
- Light is a smooth beam by its beam angle on a crown without leaves in the way;
  reflectors with hard edges are not known.
- A fall is that onto a spring without damping. Snow, rime, animals, vandals and the
  swinging of the tree are left out; ice only where `site.ice` tells it, and then as
  weight of the lamp alone.
- Inrush is summed only where `fixture.capacitor` is written; the controller's own
  protection and the pull-out of inserts are not.
- Radio knows no reflections and no other senders.
- Sizes are the fewest for new prints; beside kept prints they are the fewest for the
  trunks that no kept print serves.
- The packing of beds is not proved best; the sheet shows the lower bound beside it.
";

const VERSIONS: &str = "\
Job file  `job.format` is the number of its format, today 2. A file with a higher
          number is refused in one sentence: get the newer program. Within a format
          keys are only added. A file of format 1 is read as it is, and a note tells
          the names that its keys have since format 2:
            [[entry]]      is now  [[gland]]
            [[outlook]]    is now  [[glare]]
            [show]         is now  [programme]
            pad.reach      is now  pad.max-width-ratio
            printer.skins  is now  printer.solid-layers
            printer.walls  is now  printer.wall-lines
Set       `manifest.json` carries a format number of its own. Formats 1 and 2 are read.
          A set of a later format is left alone, and the message names the version to
          use; make into a new folder to start afresh.
Format 1  was written before prints had records, and is read as far as it tells them.
          It does not tell plastic and settings, which are taken to be those of
          today's job, nor lamp, gust and pull: its prints are kept only while every
          dimension that it tells is the one that would be drawn today.
Geometry  a change of any solid is listed in CHANGELOG.md. A print of an earlier drawing
          is kept while it fits and was proven for all that today's job asks.
";

const EXIT_CODES: &str = "\
0  all that was asked for is done; warnings and notes may have been shown
1  a check failed: a finding of severity error was shown, and the parts that it names
   were not written
2  could not run: mistakes in the job file, the survey or the arguments, or a file
   that cannot be read or written; nothing was written
";

/// The page of this name.
#[must_use]
pub(crate) fn page(name: &str) -> Option<&'static Page> {
    PAGES.iter().find(|page| page.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment;
    use crate::params::{problem::MISTAKES, why};

    #[test]
    fn a_name_belongs_to_one_page_of_any_kind() {
        let names: Vec<&str> = PAGES
            .iter()
            .map(|p| p.name)
            .chain(assessment::rules().map(|r| r.code))
            .chain(MISTAKES.iter().map(|m| m.code))
            .collect();
        for (i, name) in names.iter().enumerate() {
            assert!(!names[..i].contains(name), "{name} twice");
            assert!(why(name).is_none(), "{name} is a key too");
        }
    }

    #[test]
    fn pages_fit_a_terminal() {
        for page in PAGES {
            for line in page.text.lines() {
                assert!(line.chars().count() <= 88, "{}: {line}", page.name);
            }
        }
    }

    #[test]
    fn the_survey_page_has_every_column_and_its_spellings_are_read() {
        for (column, what) in crate::params::survey::COLUMNS {
            let line = format!("{column:<17}{what}");
            assert!(SURVEY.lines().any(|l| l == line), "{line}");
        }
    }

    /// Words at the left margin of a measuring page are keys, except the names of tables.
    #[test]
    fn measuring_pages_name_keys_that_exist() {
        for (page, tables) in [
            ("measuring-trunk", &["trunk."][..]),
            ("measuring-lamp", &["fixture.", "fixture.mount."]),
            ("measuring-strap", &["strap."]),
            ("measuring-box", &["", "battery."]),
        ] {
            let mut keys = 0;
            for line in super::page(page).unwrap().text.lines() {
                let Some((words, _)) = line.split_once("  ") else { continue };
                if words.is_empty() || words.ends_with(':') {
                    continue;
                }
                for key in words.split(", ") {
                    let known = tables.iter().any(|t| why(&format!("{t}{key}")).is_some());
                    assert!(known, "{page}: {key}");
                    keys += 1;
                }
            }
            assert!(keys >= 4, "{page}");
        }
    }
}
