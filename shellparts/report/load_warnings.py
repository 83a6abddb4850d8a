"""The table of warnings about air, cloth, holding down and people: when each holds, and in which words.

Glossary: a *warning* is raised by a figure and goes away with it; a *safety note* always holds and is never one.
A warning about something uncertain says "may". A remedy is told only where it is still to be had: no slower
speed than the slowest, no opening of a vent that is open. In the texts a name in braces stands for one of the
`PHRASES`. Nothing is worked out here. Local codes and licensed practice decide; this module knows
neither your code nor your cloth's certificate.
"""

from collections.abc import Callable
from string import Formatter

from attrs import frozen

from shellparts.base.ranges import Judgement
from shellparts.loads.band import NO_BAND_RATIO, Standing
from shellparts.loads.cloth_forces import SAFETY_FACTOR
from shellparts.loads.people import MEMBRANE_PERMIT_M2, ONE_EXIT_PEOPLE, SIGNS_PEOPLE
from shellparts.loads.results import Verdict
from shellparts.loads.timing import STAYS_UP_S
from shellparts.loads.warmth import WARM_K
from shellparts.loads.wind import WIND_CEILING_M_S
from shellparts.report.load_phrases import PHRASES
from shellparts.report.warnings import Warning

__all__ = ["RULES", "SAFETY_NOTES", "Rule", "load_warnings"]

#: What always holds.
SAFETY_NOTES = (
    "Never block the way out, inside or outside.",
    "Keep the fan guarded, its lead dry and out of people's way.",
    "No flames, no smoking, nothing hot against the cloth.",
    "An adult stays inside whenever children are, and knows how to hold the doorway open.",
    "When the fan stops, leave at once: hold up the cloth, walk, do not run.",
    "Local codes and licensed practice decide; these figures are for planning.",
)
_OURS = "this library's own figure"
_BALANCE = "balance of forces and flows"
_DEVICES = "a US state's rule for inflated devices, by analogy"
_IFC = "IFC chapter 31; clauses differ by state"


@frozen
class Rule:
    """One warning: when it holds, and its texts.

    Parameters
    ----------
    code : str
        Its stable name.
    holds : callable
        Whether the numbers raise it.
    message, figure, limit, source, remedy : str
        As in `Warning`, with names of phrases in braces.
    """

    code: str
    holds: Callable[[Verdict], bool]
    message: str
    figure: str
    limit: str
    source: str
    remedy: str

    def told(self, verdict: Verdict) -> Warning:
        """The warning, its phrases filled in."""
        texts = (self.message, self.remedy, self.figure, self.limit, self.source)
        return Warning(self.code, *(_filled(text, verdict) for text in texts))


def _filled(text: str, verdict: Verdict) -> str:
    names = [name for _, name, _, _ in Formatter().parse(text) if name]
    return text.format(**{name: PHRASES[name](verdict) for name in names})


#: In the order of reading: standing, vent, sinking, air, cloth, holding, people.
RULES = (
    Rule(
        "no-band",
        lambda v: v.air.band.ratio < NO_BAND_RATIO,
        "The pressure that holds the cloth up is the pressure that lifts the base: there is no band to work in.",
        "hold-up {hold_up}, lift {lift}",
        "lift well above hold-up",
        _BALANCE,
        "Lay cloth in along the floor as a flap, or ballast on the base.",
    ),
    Rule(
        "base-lifts",
        lambda v: bool(v.air.lifting),
        "With the vent as set the base lifts at speed {lifting}: air escapes under it, the room drops, and lifts "
        "again.",
        "{lifting_pressures}",
        "at most {lift}",
        _BALANCE,
        "{against_lifting}",
    ),
    Rule(
        "vent-shut-lifts",
        lambda v: bool(v.air.lifting_when_shut),
        "With the vent shut the base {shut_lifts} at {shut_speeds}, up to {shut_most}: air escapes under it and the "
        "room drops.",
        "{shut_pressures}",
        "at most {lift}",
        _BALANCE,
        "{against_shut}",
    ),
    Rule(
        "sags",
        lambda v: v.air.used.standing is Standing.SAGS,
        "At speed {speed} with the vent as set the pressure does not carry the cloth.",
        "{pressure}",
        "at least {hold_up}",
        _BALANCE,
        "{against_sagging}",
    ),
    Rule(
        "tune-vent",
        lambda v: v.air.used.standing is Standing.UNCERTAIN,
        "At speed {speed} nobody can tell beforehand whether this opening is right: fan and leaks are not known "
        "well enough.",
        "{pressure}",
        "between {hold_up} and {lift}",
        _BALANCE,
        "{tune}",
    ),
    Rule(
        "fan-too-weak",
        lambda v: v.air.used.vent.area_m2.likely == 0.0,
        "No speed of the fan reaches the middle of the band, even with the vent shut.",
        "{shut_pressure}",
        "{target} Pa",
        _BALANCE,
        "Take a stronger fan, lighter cloth, or seal the base and the doorway.",
    ),
    Rule(
        "vent-out-of-reach",
        lambda v: v.air.used.vent.area_m2.likely != 0.0 and v.air.used.vent.reach is not Judgement.FINE,
        "At speed {speed} the right opening {lies} beyond what the vent or the fan can do.",
        "{right_opening} on each side",
        "{openings}",
        _BALANCE,
        "{into_reach}",
    ),
    Rule(
        "fan-assumed",
        lambda v: v.fan.assumed,
        "Only the fan's free air is known; its pressure is assumed, and most of the ranges come from that.",
        "no pressure curve",
        "the maker's pressure against flow",
        _OURS,
        "Ask the maker for the curve, or measure the pressure in the room: on a board that rises 1 in 20 lies a "
        "clear tube bent to a U, half full of water, one end led into the room; its two water ends come to stand "
        "2 mm apart for each pascal.",
    ),
    Rule(
        "door-sags",
        lambda v: v.air.used.door_holds_up is not Judgement.FINE,
        "While somebody passes the doorway the pressure falls and the room {door_sags}.",
        "{door_pressure}",
        "at least {hold_up}",
        _BALANCE,
        "One person at a time; let the curtain hang shut and the walls grow firm before the next.",
    ),
    Rule(
        "sinks-before-out",
        lambda v: v.people.leave_before_sinking is not Judgement.FINE,
        "When the fan stops the room {sinks} to people's heads before all are out.",
        "sinks in {sinking_time}",
        "longer than leaving, {leaving_time}",
        _DEVICES,
        "An adult at the doorway who holds it up: the cloth is light, can be lifted and walked under. Fewer "
        "people, a second way out, or a second fan on its own circuit.",
    ),
    Rule(
        "stays-up-short",
        lambda v: v.air.deflate_s.low < STAYS_UP_S,
        "The room does not surely stay up for 5 minutes after the fan stops.",
        "{sinking_time}",
        f"at least {STAYS_UP_S:.0f} s, or the time to leave if longer",
        _DEVICES,
        "A second fan on its own circuit, ready to run.",
    ),
    Rule(
        "fresh-air",
        lambda v: v.breath.enough is not Judgement.FINE and v.breath.people > 0,
        "With the base down the fan {does} not give {inside} people fresh air enough.",
        "{fresh_air}, CO2 settles at {co2}",
        "{air_needed} L/s in all",
        "ASHRAE 62.1-2016, table 6.2.2.1",
        "{more_air}",
    ),
    Rule(
        "warm",
        lambda v: v.breath.temperature_rise_K.high > WARM_K,
        "It may get warm inside, sun not counted.",
        "{warmer}",
        f"{WARM_K:.0f} degrees",
        _OURS,
        "Fewer people or lamps, or shade.",
    ),
    Rule(
        "cloth-weak",
        lambda v: v.membrane.factor_of_safety < SAFETY_FACTOR,
        "Cloth or seam is weak for the highest pressure that it may meet, {highest} Pa.",
        "factor of safety {safety}",
        f"at least {SAFETY_FACTOR:.0f}",
        _OURS,
        "Stronger cloth or thread, more stitches, a second row.",
    ),
    Rule(
        "wrinkles",
        lambda v: bool(PHRASES["folds"](v)),
        "Part of the cloth will lie in soft folds, which only the eye minds.",
        "{folds}",
        "tension everywhere",
        "the form under air, or membrane theory where there is none",
        "Expect them, or make the profile rounder.",
    ),
    Rule(
        "flame-retardant",
        lambda v: not v.cloth.flame_retardant,
        "The cloth is not known to be flame-retardant.",
        "no certificate",
        "a certificate where the law asks, as it does for assembly",
        _IFC,
        "Use certified cloth, or ask the fire authority before the public comes in.",
    ),
    Rule(
        "ballast",
        lambda v: v.hold_down.ballast_needed_kg > v.site.ballast_kg,
        "The base is held by less than 1.5 times the uplift at the working pressure.",
        "{ballast} of ballast",
        "{ballast_asked}",
        _OURS,
        "Lay {ballast_asked}: {bags}, one every {spacing} m round the base, on the flap against the wall.",
    ),
    Rule(
        "outdoors",
        lambda v: not v.site.indoors,
        "{outdoors}",
        "{anchors} anchors, {ballast} of ballast",
        f"gusts below {{gust}}, never above {WIND_CEILING_M_S:.1f} m/s",
        "ISO 20187 and EN 14960 (38 km/h) by analogy only; membrane statics",
        "Stay indoors if you can. Anchor it ({ceiling_anchors} anchors for the ceiling), watch the forecast's gusts, "
        "keep a wind meter at the room, and ask an engineer before the public comes in.",
    ),
    Rule(
        "too-many-people",
        lambda v: v.people.inside > v.people.capacity.people,
        "More people than the room takes; {limited_by} sets the limit.",
        "{inside} people",
        "{room_for}",
        "IBC table 1004.5, ASHRAE 62.1-2016",
        "Let them in by turns.",
    ),
    Rule(
        "exit-narrow",
        lambda v: v.room.exit_width_mm < v.people.width_needed_mm,
        "The way out is narrow.",
        "{exit_width} mm",
        "at least {exit_needed} mm clear",
        "ADA Standards 404.2.3",
        "Widen the doorway or its tunnel.",
    ),
    Rule(
        "second-exit",
        lambda v: v.room.exit_count == 1 and v.people.inside > ONE_EXIT_PEOPLE,
        "So many people need a second way out.",
        "{inside} people",
        f"{ONE_EXIT_PEOPLE} with one way out",
        "IBC",
        "Add a doorway on the other side.",
    ),
    Rule(
        "permit",
        lambda v: v.room.floor_area_m2 > MEMBRANE_PERMIT_M2,
        "A room of cloth this large may need a permit.",
        "{floor} m²",
        f"{MEMBRANE_PERMIT_M2:.0f} m²",
        _IFC,
        "Ask the fire authority.",
    ),
    Rule(
        "signs-and-plan",
        lambda v: v.people.inside >= SIGNS_PEOPLE,
        "So many people need exit signs and a plan; and an air-supported room for assembly two blowers.",
        "{inside} people",
        f"fewer than {SIGNS_PEOPLE}",
        _IFC,
        "Ask the fire authority; put up signs, a plan, and a second fan on its own circuit.",
    ),
)


def load_warnings(verdict: Verdict) -> tuple[Warning, ...]:
    """Every warning that the numbers raise, in the order of the table."""
    return tuple(rule.told(verdict) for rule in RULES if rule.holds(verdict))
