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

from shellparts.loads.air_limits import AirGrade
from shellparts.loads.cloth_forces import SAFETY_FACTOR
from shellparts.loads.outdoors import WIND_CEILING_M_S
from shellparts.loads.people import MEMBRANE_PERMIT_M2, ONE_EXIT_PEOPLE, SIGNS_PEOPLE
from shellparts.loads.results import Grade, Must, Verdict
from shellparts.loads.settings import SURE_CHANCE
from shellparts.loads.sinking import STAYS_UP_S
from shellparts.loads.way_out import STAND_MM, WayTrouble
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
#: Lift pressure over hold-up pressure below which there is no band to work in [-]: ours.
_NO_BAND_RATIO = 1.02
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
        lambda v: v.air.lift_Pa.likely < _NO_BAND_RATIO * v.air.hold_up_Pa.likely,
        "The pressure that holds the room up is hardly below the one that lifts its base: there is no band to work in.",
        "held up from {hold_up}, lifts at {lift}",
        "lift well above hold-up",
        _BALANCE,
        "Lay cloth in along the floor as a flap, or ballast on the base.",
    ),
    Rule(
        "base-lifts",
        lambda v: v.air.setting.chance_down < SURE_CHANCE,
        "At its best setting, speed {speed}, {opening}, the base may lift: air escapes under it, the room drops, and "
        "lifts again.",
        "{pressure}; it stays down in {chance_down}",
        "lifts at {lift}",
        _BALANCE,
        "{against_lifting}",
    ),
    Rule(
        "vent-shut-lifts",
        lambda v: v.air.speeds[-1].shut_chance_down < SURE_CHANCE,
        "With the vent shut the base may lift, surest at speed {fastest}: air escapes under it and the room drops.",
        "{shut_pressure}; it stays down in {shut_chance}",
        "lifts at {lift}",
        _BALANCE,
        "Never shut it fully while the fan runs, but to fill the room, with nobody inside. If you must be able "
        "to, that "
        "takes {shut_ballast}.",
    ),
    Rule(
        "sags",
        lambda v: v.air.setting.chance_up < SURE_CHANCE,
        "At its best setting, speed {speed}, {opening}, the pressure may not hold roof and way out up.",
        "{pressure}; it stands in {chance_up}",
        "held up from {hold_up}",
        _BALANCE,
        "{against_sagging}",
    ),
    Rule(
        "tune-vent",
        lambda v: v.air.setting.chance < SURE_CHANCE <= v.air.settings.chance_some,
        "Nobody can tell beforehand which opening is right: fan and leaks are not known well enough.",
        "the best setting does in {chance}, some setting in {chance_some}",
        "9 in 10",
        _BALANCE,
        "Tune it clip by clip on the day, or take one reading of the pressure and check again.",
    ),
    Rule(
        "way-out-sags-first",
        lambda v: (
            v.air.roof_Pa is not None
            and v.air.way_out_Pa is not None
            and v.air.way_out_Pa.likely > 1.05 * v.air.roof_Pa.likely
        ),
        "The way out sags before the roof does.",
        "roof from {roof}, way out from {way_out}",
        "the way out as firm as the roof",
        "the form of the whole room under air",
        "A hoop that holds the curtain's end of the tunnel open, a lighter curtain, a shorter tunnel.",
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
        lambda v: v.air.used.door_chance_up < SURE_CHANCE,
        "While somebody passes the doorway the pressure falls and the room sags.",
        "{door_pressure}, firm again after {recover}",
        "held up from {hold_up}",
        _BALANCE,
        "One person at a time; let the curtain hang shut and the walls grow firm before the next.",
    ),
    Rule(
        "sinks-before-out",
        lambda v: v.people.inside > 0 and v.musts[Must.OUT_IN_TIME] is not Grade.MET,
        "When the fan stops the cloth is down on people before all are out.",
        "down in {sinking_shut}, in {sinking_time} while people pass; {in_time} people are out before",
        "longer than leaving, {leaving_time}",
        _DEVICES,
        "An adult at the doorway who holds it up, others who lift the cloth: it is light. Fewer people, a second way "
        "out, a flap in the sleeve, or a second fan on its own circuit.",
    ),
    Rule(
        "stays-up-short",
        lambda v: v.people.escape.sink_shut_s.low < STAYS_UP_S,
        "The room does not surely stay up for 5 minutes after the fan stops.",
        "{sinking_shut}",
        f"at least {STAYS_UP_S:.0f} s, or the time to leave if longer",
        _DEVICES,
        "A second fan on its own circuit, ready to run.",
    ),
    Rule(
        "fresh-air",
        lambda v: v.people.inside > 0 and v.air.used.inside.judgement.grade is not AirGrade.GOOD,
        "The air inside is not surely good for {inside} people; {air_worst} is the worst of it.",
        "{fresh_air}, CO2 {co2}, wet bulb {wet_bulb}",
        "{air_needed} L/s in all, {careful}",
        "ASHRAE 62.1-2016, table 6.2.2.1; CO2 and wet bulb by this library's own limits",
        "Fewer people, shorter visits, a larger or an aired hall, a cooler hour, or more air through the room.",
    ),
    Rule(
        "cloth-weak",
        lambda v: v.musts[Must.CLOTH] is Grade.NOT,
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
        lambda v: not v.drawn.cloth.flame_retardant,
        "The cloth is not known to be flame-retardant.",
        "no certificate",
        "a certificate where the law asks, as it does for assembly",
        _IFC,
        "Use certified cloth, or ask the fire authority before the public comes in.",
    ),
    Rule(
        "ballast",
        lambda v: v.musts[Must.BALLAST] is Grade.NOT,
        "The base is held by less than 1.5 times the uplift at the working pressure.",
        "{ballast} of ballast",
        "{bags}",
        _OURS,
        "Lay what is asked for on the flap against the wall, round the base and at the tunnel's feet.",
    ),
    Rule(
        "outdoors",
        lambda v: not v.drawn.site.indoors,
        "{outdoors}",
        "{anchors}, {ballast} of ballast",
        f"never above {WIND_CEILING_M_S:.1f} m/s",
        "ISO 20187 and EN 14960 (38 km/h) by analogy only; membrane statics",
        "Stay indoors if you can. The usual stop limit would take {ceiling_anchors}; watch the forecast's "
        "gusts, keep a wind meter at the room, and ask an engineer before the public comes in.",
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
        lambda v: v.drawn.room.exit_width_mm < v.people.width_needed_mm,
        "The way out is narrow.",
        "{exit_width} mm",
        "at least {exit_needed} mm clear",
        "ADA Standards 404.2.3",
        "Widen the doorway or its tunnel.",
    ),
    Rule(
        "exit-low",
        lambda v: bool({WayTrouble.STOOP, WayTrouble.CRAWL} & set(v.people.bearings)),
        "The way out is low: people stoop, or crawl below 1,300 mm, and are slower.",
        "{exit_height} mm",
        f"at least {STAND_MM:.0f} mm clear",
        "80 in of headroom on a way out, IBC and ADA 307.4, from memory",
        "Make the doorway higher.",
    ),
    Rule(
        "second-exit",
        lambda v: v.drawn.room.exit_count == 1 and v.people.inside > ONE_EXIT_PEOPLE,
        "So many people need a second way out.",
        "{inside} people",
        f"{ONE_EXIT_PEOPLE} with one way out",
        "IBC",
        "Add a doorway on the other side.",
    ),
    Rule(
        "permit",
        lambda v: v.drawn.room.floor_area_m2 > MEMBRANE_PERMIT_M2,
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
