//! Where the light of one trunk's lamps goes: tilt to set, spot, light at the crown, and windows.

pub(super) mod spill_light;
pub(super) mod tilt_out_of_reach;

use super::Subject;
use super::calculations::{Group, Section, Shared, Unavailable};
use super::hold::Ring;
use crate::engineering::account::{Line, Side};
use crate::engineering::aim::{AimError, Beam, Crown, Sight, lines, spill_line};
use crate::engineering::taper::{GirthAt, Taper, scale_for, zero_elevation};
use crate::params::{Job, Trunk};
use crate::units::{Angle, Illuminance, Length, LuminousFlux};

/// Where the light goes.
#[derive(Debug, Clone)]
pub(crate) struct Light {
    pub(crate) section: Section,
    /// What the scale would have to show for the crown.
    pub(crate) wished: Option<Angle>,
    /// What the scale is set to: the wish, held within the tilt range.
    pub(crate) set: Option<Angle>,
    /// Lit spot at the crown's base.
    pub(crate) spot: Option<Length>,
    /// Light at the crown's base.
    pub(crate) light: Option<Illuminance>,
    /// What the rules of aim and spill start from; `None` without a beam or a cradle.
    pub(crate) aim: Option<Aim>,
}

/// A lamp on its trunk, as the rules see it.
#[derive(Debug, Clone)]
pub(crate) struct Aim {
    pub(crate) beam: Beam,
    pub(crate) crown: Option<Crown>,
    /// Half cone angle of the trunk.
    pub(crate) half: Angle,
    /// Of the beam, as set.
    pub(crate) elevation: Angle,
    /// Each place of `[[glare]]` as it is seen from the lamp, and the light there; empty without a flux.
    pub(crate) sights: Vec<(Sight, Illuminance)>,
}

impl Light {
    pub(crate) fn of(shared: &Shared<'_>, index: usize, ring: Option<&Ring>) -> Self {
        let trunk = &shared.job.trunks[index];
        let mut light = Self {
            section: Section::new("light"),
            wished: None,
            set: None,
            spot: None,
            light: None,
            aim: None,
        };
        if let Err(why) = light.find(shared, trunk, ring) {
            light.section.absent.push(why.to_string());
        }
        light
    }

    fn find(
        &mut self,
        shared: &Shared<'_>,
        trunk: &Trunk,
        ring: Option<&Ring>,
    ) -> Result<(), Unavailable> {
        let (job, plan) = (shared.job, shared.plan);
        let half = match (trunk.upper_girth, trunk.upper_height) {
            (Some(girth), Some(height)) => {
                let here = GirthAt { girth: trunk.girth, height: trunk.height };
                let taper = Taper::new(here, GirthAt { girth, height });
                taper.map_err(Unavailable::failed)?.half_angle()
            }
            _ => Angle::ZERO,
        };
        let zero = zero_elevation(half, trunk.lean);
        self.section.lines.push(
            Line::new(
                "beam above level when the scale shows 0",
                "taper - lean",
                zero,
                "half cone angle of two girths",
            )
            .input("taper", half)
            .input("lean", trunk.lean),
        );
        let ring = ring.ok_or_else(|| Unavailable::elsewhere("no cradle hangs here"))?;
        let class = shared.plan.cradles.iter().find(|c| c.class.size == ring.size);
        let front = class.map_or(Length::ZERO, |c| c.saddle.front_y);
        let radius = crate::engineering::fit::radius_of_girth(trunk.girth);
        let offset = radius + ring.gap + front + plan.yoke.reach;

        let angle = job
            .fixture
            .beam_angle
            .ok_or_else(|| Unavailable::elsewhere("fixture.beam-angle is not given"))?;
        // Directions need no flux; the light does.
        let flux = job.fixture.lumens.unwrap_or(LuminousFlux::lumens(1.0));
        let beam = Beam::new(flux, angle).map_err(Unavailable::failed)?;
        let crown = match (trunk.crown_base, trunk.crown_spread) {
            (Some(base), Some(spread)) => Some(
                Crown::new(offset, trunk.height, base, spread).map_err(Unavailable::elsewhere)?,
            ),
            _ => None,
        };
        let set = if let Some(crown) = crown {
            self.crown(job, crown, beam, [half, trunk.lean])?
        } else {
            self.section.absent.push(
                "no tilt for the crown: crown-base and crown-spread are not given".to_owned(),
            );
            // Lamps may be set anywhere; the lowest setting is the worst for windows.
            job.tilt.min
        };
        let elevation = set + zero;
        let mut sights = Vec::new();
        if job.fixture.lumens.is_none() {
            self.section.absent.push("no light in lux: fixture.lumens is not given".to_owned());
        } else {
            for glare in &job.glare {
                let sight = Sight::new(glare.distance, glare.height, offset, trunk.height);
                let sight = sight.map_err(Unavailable::failed)?;
                let found = sight.light(beam, elevation).map_err(Unavailable::failed)?;
                sights.push((sight, found));
                let title = format!("light on {}, were a lamp to face it", glare.name);
                let line = spill_line(&title, sight, beam, elevation, glare.limit);
                self.section.lines.push(line.map_err(Unavailable::failed)?);
            }
        }
        self.aim = Some(Aim { beam, crown, half, elevation, sights });
        Ok(())
    }

    /// Tilt, spot and light for the crown; the setting of the scale.
    fn crown(
        &mut self,
        job: &crate::params::Job,
        crown: Crown,
        beam: Beam,
        [half, lean]: [Angle; 2],
    ) -> Result<Angle, Unavailable> {
        let wished = crown.tilt(beam);
        let scale = scale_for(wished, half, lean);
        let clamped = scale.deg().clamp(job.tilt.min.deg(), job.tilt.max.deg());
        let set = Angle::degrees(clamped);
        let elevation = set + zero_elevation(half, lean);
        self.wished = Some(scale);
        self.set = Some(set);
        let mut line = Line::new(
            "tilt to set on the scale",
            "atan(rise/(spread/2 - offset)) + beam/2 - taper + lean, at most straight up",
            set,
            "geometry: the beam's lower edge meets the crown's outer edge",
        )
        .input("crown's edge above level", crown.edge_elevation())
        .input("beam/2", beam.half_angle());
        let (side, limit) = if scale > job.tilt.max {
            (Side::AtMost, job.tilt.max)
        } else if scale < job.tilt.min {
            (Side::AtLeast, job.tilt.min)
        } else if (job.tilt.max - scale).rad() < (scale - job.tilt.min).rad() {
            (Side::AtMost, job.tilt.max)
        } else {
            (Side::AtLeast, job.tilt.min)
        };
        line = line.input("wanted", scale).against(side, scale.deg(), limit.deg(), limit);
        self.section.lines.push(line);
        self.spot = crown.throw(elevation).map(|throw| beam.spot(throw));
        if job.fixture.lumens.is_some() {
            self.light = crown.light(beam, elevation);
            self.section.take(lines("lamp", crown, beam, elevation));
        }
        Ok(set)
    }
}

/// One trunk as it lights the places of `[[glare]]`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spilling {
    /// Its index in the job.
    pub(crate) trunk: usize,
    pub(crate) lamps: u32,
    pub(crate) beam: Beam,
    /// Of the beam where the scale shows 0.
    pub(crate) zero: Angle,
    /// What the scale is set to.
    pub(crate) scale: Angle,
    pub(crate) sight: Sight,
}

impl Spilling {
    /// Light on the place from all lamps of this trunk, one of them facing it, with no setting below this.
    fn light(&self, least: Angle) -> Result<Illuminance, AimError> {
        let scale = if least > self.scale { least } else { self.scale };
        self.sight.light_of_all(self.beam, scale + self.zero, self.lamps)
    }
}

/// Every trunk with light that a place of `[[glare]]` sees.
fn spilling(job: &Job, groups: &[Group], glare: usize) -> Vec<Spilling> {
    let mut all = Vec::new();
    for group in groups {
        let aim = group.light.as_ref().and_then(|light| light.aim.as_ref());
        let first = group.trunks.first().and_then(|&t| job.trunks.get(t));
        let Some((aim, first)) = aim.zip(first) else { continue };
        let Some(&(sight, _)) = aim.sights.get(glare) else { continue };
        let zero = zero_elevation(aim.half, first.lean);
        let (beam, scale, lamps) = (aim.beam, aim.elevation - zero, first.fixtures);
        let one = |&trunk: &usize| Spilling { trunk, lamps, beam, zero, scale, sight };
        all.extend(group.trunks.iter().map(one));
    }
    all
}

/// Light on a place from all trunks together.
fn together(all: &[Spilling], least: Angle) -> Result<Illuminance, AimError> {
    let each = all.iter().map(|one| one.light(least).map(Illuminance::get));
    Ok(Illuminance::lux(each.sum::<Result<f64, _>>()?))
}

/// The account of all lamps on each place of `[[glare]]`; none without one.
pub(super) fn windows(job: &Job, groups: &[Group]) -> Option<Section> {
    let mut section = Section::new("light on windows and roads");
    for (index, glare) in job.glare.iter().enumerate() {
        let all = spilling(job, groups, index);
        if all.is_empty() {
            continue;
        }
        let lamps: u32 = all.iter().map(|one| one.lamps).sum();
        section.take(together(&all, Angle::degrees(-90.0)).map(|light| {
            vec![
                Line::new(
                    format!("light on {} from all lamps", glare.name),
                    "sum over the lamps of I0 cos(off axis)^m cos(incidence)/d^2, one lamp of each trunk facing it",
                    light,
                    "generalised Lambert law (Moreno and Sun, Optics Express 16, 2008); every trunk taken as near \
                     as the place is written",
                )
                .input("lamps", lamps)
                .input("trunks", all.len())
                .against(Side::AtMost, light.get(), glare.limit.get(), glare.limit),
            ]
        }));
    }
    (!section.lines.is_empty() || !section.absent.is_empty()).then_some(section)
}

/// For trunks that are alike the first one, its lamp, and what the scale would have to show for the crown.
fn lit<'a>(
    subject: &Subject<'a>,
) -> impl Iterator<Item = (usize, &'a Aim, Option<Angle>)> + use<'a> {
    let groups = subject.calculations.into_iter().flat_map(|c| &c.groups);
    groups.filter_map(|group| {
        let light = group.light.as_ref()?;
        Some((group.trunks[0], light.aim.as_ref()?, light.wished))
    })
}
