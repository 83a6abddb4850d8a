"""When each warning is raised, and in which words.

Glossary: see `warnings`; a warning about something uncertain says "may". This module works nothing out: it
compares figures of the reports.
"""

import math
from collections.abc import Iterator

from shellparts.loads.band import Standing
from shellparts.loads.cloth_forces import SAFETY_FACTOR
from shellparts.loads.figures import Cloth, RoomFigures, Site
from shellparts.loads.people import ONE_EXIT_PEOPLE
from shellparts.loads.ranges import Judgement, Range
from shellparts.loads.report import AirReport, BreathingReport, ClothReport, HoldDownReport, PeopleReport
from shellparts.loads.timing import STAYS_UP_S
from shellparts.loads.warnings import LoadWarning, WarningCode
from shellparts.loads.wind import WIND_CEILING_M_S

__all__ = ["MEMBRANE_PERMIT_M2", "SIGNS_PEOPLE", "warnings_of"]

#: Floor above which a membrane structure needs a permit [m²], and people from which signs and a plan are
#: asked for. IFC chapter 31.
MEMBRANE_PERMIT_M2, SIGNS_PEOPLE = 37.0, 50
_NO_BAND_RATIO = 1.02
_BREEZE_M_S = 3.3  # Beaufort 2 ends here, from memory: less is not even a light breeze
_WARM_K = 4.0  # ours
_OURS = "this library's own figure"
_BALANCE = "balance of forces and flows"
_IFC = "IFC chapter 31; clauses differ by state"


def _span(value: Range, unit: str, digits: int = 1) -> str:
    """A range as people read it."""
    if value.low == value.high:
        return f"{value.likely:.{digits}f} {unit}"
    return f"{value.likely:.{digits}f} {unit} ({value.low:.{digits}f} to {value.high:.{digits}f})"


def _verb(judgement: Judgement, verb: str) -> str:
    """``"sags"`` when it is sure, ``"may sag"`` when it is not."""
    return verb + "s" if judgement is Judgement.NOT_MET else "may " + verb


def _standing(air: AirReport) -> Iterator[LoadWarning]:
    band, used = air.band, air.used
    lift = f"at most {_span(band.lift_Pa, 'Pa')}"
    if band.ratio < _NO_BAND_RATIO or band.lift_Pa.likely < band.hold_up_Pa.likely:
        yield LoadWarning(
            WarningCode.NO_BAND,
            "The pressure that holds the cloth up is the pressure that lifts the base: there is no "
            "band to work in.",
            f"hold-up {_span(band.hold_up_Pa, 'Pa')}, lift {_span(band.lift_Pa, 'Pa')}",
            "lift well above hold-up",
            _BALANCE,
            "Lay cloth in along the floor as a flap, or ballast on the base.",
        )
    lifting = [s for s in air.speeds if s.standing is Standing.LIFTS]
    if lifting:
        names = ", ".join(s.name for s in lifting)
        yield LoadWarning(
            WarningCode.BASE_LIFTS,
            f"With the vent as set the base lifts at speed {names}: air escapes under it, the room "
            "drops, and lifts again.",
            "; ".join(f"{s.name} {_span(s.pressure_Pa, 'Pa')}" for s in lifting),
            lift,
            _BALANCE,
            f"Use speed {air.use_speed}, open the vent farther, lay a deeper flap or ballast.",
        )
    shut = [
        s
        for s in air.speeds
        if s.shut_standing is not Standing.STANDS and s.shut_pressure_Pa.high > band.lift_Pa.low
    ]
    if shut:
        sure = all(s.shut_standing is Standing.LIFTS for s in shut)
        yield LoadWarning(
            WarningCode.VENT_SHUT_LIFTS,
            f"With the vent shut the base {'lifts' if sure else 'may lift'} at speed "
            f"{', '.join(s.name for s in shut)}: "
            "air escapes under it and the room drops.",
            "; ".join(f"{s.name} {_span(s.shut_pressure_Pa, 'Pa')}" for s in shut),
            lift,
            _BALANCE,
            "Open the vent before the room is full and leave it open; more flap or ballast gives "
            "more room for error.",
        )
    if used.standing is Standing.SAGS:
        yield LoadWarning(
            WarningCode.SAGS,
            f"At speed {used.name} with the vent as set the pressure does not carry the cloth.",
            _span(used.pressure_Pa, "Pa"),
            f"at least {_span(band.hold_up_Pa, 'Pa')}",
            _BALANCE,
            "Close the vent farther, take a faster speed, or seal the base.",
        )
    elif used.standing is Standing.UNCERTAIN:
        yield LoadWarning(
            WarningCode.TUNE_VENT,
            f"At speed {used.name} nobody can tell beforehand whether this opening is right: fan and "
            "leaks are not known well enough.",
            _span(used.pressure_Pa, "Pa"),
            f"between {_span(band.hold_up_Pa, 'Pa')} and {_span(band.lift_Pa, 'Pa')}",
            _BALANCE,
            "Set the vent on the day: open it until the base stays down, close it if the walls go "
            "slack. Then measure and write it down.",
        )


def _vent(air: AirReport) -> Iterator[LoadWarning]:
    vent = air.used.vent
    if vent.area_m2.likely == 0.0:
        yield LoadWarning(
            WarningCode.FAN_TOO_WEAK,
            "No speed of the fan reaches the middle of the band, even with the vent shut.",
            _span(air.used.shut_pressure_Pa, "Pa"),
            f"{vent.pressure_Pa:.1f} Pa",
            _BALANCE,
            "Take a stronger fan, lighter cloth, or seal the base and the doorway.",
        )
    elif vent.reach is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.VENT_OUT_OF_REACH,
            f"At speed {vent.speed} the right opening {_verb(vent.reach, 'lie')} beyond what the vent "
            "or the fan can do.",
            _span(vent.length_mm, "mm", 0),
            "from shut to the vent's longest opening",
            _BALANCE,
            "Make the vent longer, take a slower speed or a fan that suits, and measure the fan.",
        )
    if air.fan_assumed:
        yield LoadWarning(
            WarningCode.FAN_ASSUMED,
            "Only the fan's free air is known; its pressure is assumed.",
            "no pressure curve",
            "the maker's pressure against flow",
            _OURS,
            "Ask the maker for the curve, or measure the pressure in the room with a tube of water.",
        )
    if air.used.door_holds_up is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.DOOR_SAGS,
            f"While people go through the doorway the room {_verb(air.used.door_holds_up, 'sag')}.",
            _span(air.used.door_pressure_Pa, "Pa"),
            f"at least {_span(air.band.hold_up_Pa, 'Pa')}",
            _BALANCE,
            "Let people through one by one behind a hanging curtain, and close the vent or take a "
            "faster speed meanwhile.",
        )


def _sinking(air: AirReport, people: PeopleReport) -> Iterator[LoadWarning]:
    if people.leave_before_sinking is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.SINKS_BEFORE_OUT,
            f"When the fan stops the room {_verb(people.leave_before_sinking, 'sink')} to people's "
            "heads before all are out.",
            f"sinks in {_span(air.deflate_s, 's', 0)}",
            f"longer than leaving, {_span(people.leave_s, 's', 0)}",
            "a US state's rule for inflated devices, by analogy",
            "Fewer people, a second way out, a valve or flap behind the fan; an adult who holds the "
            "cloth up.",
        )
    if air.deflate_s.low < STAYS_UP_S:
        yield LoadWarning(
            WarningCode.STAYS_UP_SHORT,
            "The room does not surely stay up for 5 minutes after the fan stops.",
            _span(air.deflate_s, "s", 0),
            f"at least {STAYS_UP_S:.0f} s, or the time to leave if longer",
            "a US state's rule for inflated devices, by analogy",
            "A flap that closes behind the fan, a vent that can be shut, a second fan on its own circuit.",
        )


def _breathing(breath: BreathingReport) -> Iterator[LoadWarning]:
    if breath.enough is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.FRESH_AIR,
            f"The fan {'does' if breath.enough is Judgement.NOT_MET else 'may'} not give "
            f"{breath.people} people fresh air enough.",
            f"{_span(breath.fresh_air_L_s_person, 'L/s a person')}, CO2 "
            f"{_span(breath.co2_steady_ppm, 'ppm', 0)}",
            f"{breath.required_L_s:.0f} L/s in all",
            "ASHRAE 62.1-2016, table 6.2.2.1",
            "Fewer people, a faster speed with the vent farther open, shorter stays.",
        )
    if breath.temperature_rise_K.high > _WARM_K:
        yield LoadWarning(
            WarningCode.WARM,
            "It may get warm inside, sun not counted.",
            _span(breath.temperature_rise_K, "K over the fan's air"),
            f"{_WARM_K:.0f} K",
            _OURS,
            "Fewer people or lamps, more air, shade.",
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
    places = [f"{report.wrinkled_share:.0%} of the surface"] if report.wrinkled_share > 0.01 else []
    places += ["a corner of the profile"] if report.ring_compression else []
    if places:
        yield LoadWarning(
            WarningCode.WRINKLES,
            "Part of the cloth is in compression and will wrinkle or gather.",
            " and ".join(places),
            "tension everywhere",
            "membrane theory",
            "Expect soft folds there, or make the profile rounder and its corners blunter.",
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
    if hold.ballast_kg > site.ballast_kg:
        yield LoadWarning(
            WarningCode.BALLAST,
            "The base is held by less than 1.5 times the uplift at the working pressure.",
            f"{site.ballast_kg:.0f} kg of ballast",
            f"{math.ceil(hold.ballast_kg)} kg",
            _OURS,
            f"Lay {math.ceil(hold.ballast_kg)} kg evenly along the base; with the vent shut at the fastest "
            "speed it takes "
            f"{_span(hold.ballast_vent_shut_kg, 'kg', 0)}.",
        )
    if not site.indoors:
        wind = hold.wind
        if wind.limit_m_s < _BREEZE_M_S:
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
            f"{capacity.people} people",
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


def warnings_of(
    room: RoomFigures,
    cloth: Cloth,
    site: Site,
    air: AirReport,
    breath: BreathingReport,
    forces: ClothReport,
    hold: HoldDownReport,
    people: PeopleReport,
) -> tuple[LoadWarning, ...]:
    """Every warning that the figures raise, in the order of reading: standing, vent, sinking, air, cloth,
    holding, people.

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

    Returns
    -------
    tuple of LoadWarning
        One for each code at most.
    """
    return (
        *_standing(air),
        *_vent(air),
        *_sinking(air, people),
        *_breathing(breath),
        *_cloth(forces, cloth),
        *_holding(hold, site),
        *_people(people, room),
    )
