"""Warnings about using the room: the fan's stop, fresh air, cloth, holding down, people.

Glossary: see `warnings`; a warning about something uncertain says "may". This module works nothing out: it
compares figures of the reports. Those about standing and the vent are in `warning_rules`.
"""

from collections.abc import Iterator

from shellparts.base.ranges import Judgement
from shellparts.loads.answers import BREEZE_M_S
from shellparts.loads.cloth_forces import SAFETY_FACTOR
from shellparts.loads.people import ONE_EXIT_PEOPLE
from shellparts.loads.report import AirReport, BreathingReport, ClothReport, HoldDownReport, PeopleReport
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.timing import STAYS_UP_S
from shellparts.loads.warnings import LoadWarning, WarningCode
from shellparts.loads.wind import WIND_CEILING_M_S
from shellparts.loads.words import sentence, span, time_span
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import Site

__all__ = ["MEMBRANE_PERMIT_M2", "SIGNS_PEOPLE", "other_speed", "use_warnings", "verb"]

#: Floor above which a membrane structure needs a permit [m²], and people from which signs and a plan are
#: asked for. IFC chapter 31.
MEMBRANE_PERMIT_M2, SIGNS_PEOPLE = 37.0, 50
_WARM_K = 4.0  # ours
_OURS = "this library's own figure"
_IFC = "IFC chapter 31; clauses differ by state"


def verb(judgement: Judgement, word: str) -> str:
    """Say what happens: ``"sags"`` when it is sure, ``"may sag"`` when it is not.

    Parameters
    ----------
    judgement : Judgement
        Whether the limit is met.
    word : str
        The verb.

    Returns
    -------
    str
        Verb of the third person.
    """
    return word + "s" if judgement is Judgement.NOT_MET else "may " + word


def other_speed(air: AirReport, step: int) -> str:
    """Name the next faster or slower speed than the one to use.

    Parameters
    ----------
    air : AirReport
        The air.
    step : int
        1 for faster, -1 for slower [-].

    Returns
    -------
    str
        Empty if there is none.
    """
    at = [speed.name for speed in air.speeds].index(air.use_speed) + step
    return air.speeds[at].name if 0 <= at < len(air.speeds) else ""


def _sinking(air: AirReport, people: PeopleReport) -> Iterator[LoadWarning]:
    if people.leave_before_sinking is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.SINKS_BEFORE_OUT,
            f"When the fan stops the room {verb(people.leave_before_sinking, 'sink')} to people's "
            "heads before all are out.",
            f"sinks in {time_span(air.deflate_s, 'never')}",
            f"longer than leaving, {time_span(people.leave_s, 'never')}",
            "a US state's rule for inflated devices, by analogy",
            "An adult at the doorway who holds it up: the cloth is light, can be lifted and walked under. Fewer "
            "people, a second way out, or a second fan on its own circuit.",
        )
    if air.deflate_s.low < STAYS_UP_S:
        yield LoadWarning(
            WarningCode.STAYS_UP_SHORT,
            "The room does not surely stay up for 5 minutes after the fan stops.",
            time_span(air.deflate_s, "never"),
            f"at least {STAYS_UP_S:.0f} s, or the time to leave if longer",
            "a US state's rule for inflated devices, by analogy",
            "A second fan on its own circuit, ready to run.",
        )


def _breathing(
    room: RoomFigures, air: AirReport, breath: BreathingReport, people: PeopleReport
) -> Iterator[LoadWarning]:
    faster, wide_open = other_speed(air, 1), air.vent_opening_mm >= room.vent_longest_mm - 1.0
    if breath.enough is not Judgement.FINE and breath.people > 0:
        fewer = min(people.capacity.by_air, people.inside)
        ways = [
            f"at most {fewer} people at a time" if 0 < fewer < people.inside else "",
            "a longer vent, so that more air may pass" if fewer == 0 else "",
            f"speed {faster!r} with the vent farther open" if faster and not wide_open else "",
            "shorter stays",
        ]
        yield LoadWarning(
            WarningCode.FRESH_AIR,
            f"With the base down the fan {'does' if breath.enough is Judgement.NOT_MET else 'may'} not give "
            f"{breath.people} people fresh air enough.",
            f"{span(breath.fresh_air_L_s, 'L/s in all', 0)}, CO2 settles at {span(breath.co2_steady_ppm, 'ppm', 0)}",
            f"{breath.required_L_s:.0f} L/s in all",
            "ASHRAE 62.1-2016, table 6.2.2.1",
            f"{sentence(ways)}.",
        )
    if breath.temperature_rise_K.high > _WARM_K:
        yield LoadWarning(
            WarningCode.WARM,
            "It may get warm inside, sun not counted.",
            span(breath.temperature_rise_K, "degrees C warmer than the fan's air"),
            f"{_WARM_K:.0f} degrees",
            _OURS,
            "Fewer people or lamps, or shade.",
        )


def _cloth(report: ClothReport, cloth: Cloth) -> Iterator[LoadWarning]:
    if report.factor_of_safety < SAFETY_FACTOR:
        yield LoadWarning(
            WarningCode.CLOTH_WEAK,
            f"Cloth or seam is weak for the highest pressure that it may meet, {report.pressure_Pa:.0f} Pa.",
            f"factor of safety {report.factor_of_safety:.1f}",
            f"at least {SAFETY_FACTOR:.0f}",
            _OURS,
            "Stronger cloth or thread, more stitches, a second row.",
        )
    places = [f"about {report.wrinkled_share:.0%} of the cloth"] if report.wrinkled_share > 0.01 else []
    places += ["a corner of the profile"] if report.ring_compression else []
    if places:
        yield LoadWarning(
            WarningCode.WRINKLES,
            "Part of the cloth will lie in soft folds, which only the eye minds.",
            " and ".join(places),
            "tension everywhere",
            "the form under air, or membrane theory where there is none",
            "Expect them, or make the profile rounder.",
        )
    if not cloth.flame_retardant:
        yield LoadWarning(
            WarningCode.FLAME,
            "The cloth is not known to be flame-retardant.",
            "no certificate",
            "a certificate where the law asks, as it does for assembly",
            _IFC,
            "Use certified cloth, or ask the fire authority before the public comes in.",
        )


def _holding(hold: HoldDownReport, site: Site) -> Iterator[LoadWarning]:
    if hold.ballast_needed_kg > site.ballast_kg:
        bags = hold.bags
        yield LoadWarning(
            WarningCode.BALLAST,
            "The base is held by less than 1.5 times the uplift at the working pressure.",
            f"{site.ballast_kg:.0f} kg of ballast",
            f"{hold.ballast_kg:.0f} kg",
            _OURS,
            f"Lay {hold.ballast_kg:.0f} kg: {bags.count} bags of {bags.each_kg:.0f} kg, one every "
            f"{bags.spacing_mm / 1000.0:.1f} m round the base, on the flap against the wall.",
        )
    if not site.indoors:
        wind = hold.wind
        if wind.limit_m_s < BREEZE_M_S:
            message = (
                "Outdoors, held as it is, the room stands no wind at all: "
                f"from gusts of {wind.limit_m_s:.1f} m/s {wind.governed_by}. It must not stand there."
            )
        else:
            message = (
                "Outdoors: take the room down, people out first, before gusts reach "
                f"{wind.limit_m_s:.1f} m/s ({wind.governed_by})."
            )
        yield LoadWarning(
            WarningCode.OUTDOORS,
            message,
            f"{site.anchors} anchors, {site.ballast_kg:.0f} kg of ballast",
            f"gusts below {wind.limit_m_s:.1f} m/s, never above {WIND_CEILING_M_S:.1f} m/s",
            "ISO 20187 and EN 14960 (38 km/h) by analogy only; membrane statics",
            f"Stay indoors if you can. Anchor it ({hold.anchors_at_ceiling} anchors for the ceiling), "
            "watch the forecast's gusts, "
            "keep a wind meter at the room, and ask an engineer before the public comes in.",
        )


def _people(people: PeopleReport, room: RoomFigures) -> Iterator[LoadWarning]:
    inside, capacity = people.inside, people.capacity
    if inside > capacity.people:
        yield LoadWarning(
            WarningCode.TOO_MANY,
            f"More people than the room takes; {capacity.limited_by} sets the limit.",
            f"{inside} people",
            f"{capacity.people} people" if capacity.people else "nobody",
            "IBC table 1004.5, ASHRAE 62.1-2016",
            "Let them in by turns.",
        )
    if people.exit_width_mm < people.width_needed_mm:
        yield LoadWarning(
            WarningCode.EXIT_NARROW,
            "The way out is narrow.",
            f"{people.exit_width_mm:.0f} mm",
            f"at least {people.width_needed_mm:.0f} mm clear",
            "ADA Standards 404.2.3",
            "Widen the doorway or its tunnel.",
        )
    if room.exit_count == 1 and inside > ONE_EXIT_PEOPLE:
        yield LoadWarning(
            WarningCode.SECOND_EXIT,
            "So many people need a second way out.",
            f"{inside} people",
            f"{ONE_EXIT_PEOPLE} with one way out",
            "IBC",
            "Add a doorway on the other side.",
        )
    if room.floor_area_m2 > MEMBRANE_PERMIT_M2:
        yield LoadWarning(
            WarningCode.PERMIT,
            "A room of cloth this large may need a permit.",
            f"{room.floor_area_m2:.0f} m²",
            f"{MEMBRANE_PERMIT_M2:.0f} m²",
            _IFC,
            "Ask the fire authority.",
        )
    if inside >= SIGNS_PEOPLE:
        yield LoadWarning(
            WarningCode.SIGNS,
            "So many people need exit signs and a plan; and an air-supported room for assembly two blowers.",
            f"{inside} people",
            f"fewer than {SIGNS_PEOPLE}",
            _IFC,
            "Ask the fire authority; put up signs, a plan, and a second fan on its own circuit.",
        )


def use_warnings(
    room: RoomFigures,
    cloth: Cloth,
    site: Site,
    air: AirReport,
    breath: BreathingReport,
    forces: ClothReport,
    hold: HoldDownReport,
    people: PeopleReport,
) -> Iterator[LoadWarning]:
    """Give the warnings about using the room, in the order of reading.

    Parameters
    ----------
    room : RoomFigures
        The room.
    cloth : Cloth
        The cloth.
    site : Site
        The site.
    air : AirReport
        The air.
    breath : BreathingReport
        Fresh air at the speed to use.
    forces : ClothReport
        Cloth forces.
    hold : HoldDownReport
        Holding down.
    people : PeopleReport
        People.

    Yields
    ------
    LoadWarning
        One for each code at most.
    """
    yield from _sinking(air, people)
    yield from _breathing(room, air, breath, people)
    yield from _cloth(forces, cloth)
    yield from _holding(hold, site)
    yield from _people(people, room)
