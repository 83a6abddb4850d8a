"""When each warning is raised, and in which words: standing and the vent.

Glossary: see `warnings`; a warning about something uncertain says "may". A remedy is told only where it is
still to be had: no slower speed than the slowest, no opening of a vent that is open. This module works nothing
out: it compares figures of the reports. Those about using the room are in `warning_rules_use`.
"""

from collections.abc import Iterator

from shellparts.base.ranges import Judgement
from shellparts.loads.answers import NO_BAND_RATIO
from shellparts.loads.band import Standing
from shellparts.loads.report import AirReport, BreathingReport, ClothReport, HoldDownReport, PeopleReport
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.warning_rules_use import (
    MEMBRANE_PERMIT_M2,
    SIGNS_PEOPLE,
    other_speed,
    use_warnings,
    verb,
)
from shellparts.loads.warnings import LoadWarning, WarningCode
from shellparts.loads.words import sentence, span
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.site import Site

__all__ = ["MEMBRANE_PERMIT_M2", "SIGNS_PEOPLE", "warnings_of"]

_OURS = "this library's own figure"
_BALANCE = "balance of forces and flows"


def _more_air_out(air: AirReport, room: RoomFigures) -> list[str]:
    """What lets more air out, as far as it is still to be had."""
    slower = other_speed(air, -1)
    return [
        f"take speed {slower!r}" if slower else "",
        "open the vent farther" if air.vent_opening_mm < room.vent_longest_mm - 1.0 else "",
    ]


def _standing(air: AirReport, room: RoomFigures, site: Site, hold: HoldDownReport) -> Iterator[LoadWarning]:
    band, used = air.band, air.used
    lift = f"at most {span(band.lift_Pa, 'Pa')}"
    bags = "lay ballast" if site.ballast_kg < hold.ballast_kg else "lay more ballast"
    if band.ratio < NO_BAND_RATIO:
        yield LoadWarning(
            WarningCode.NO_BAND,
            "The pressure that holds the cloth up is the pressure that lifts the base: there is no "
            "band to work in.",
            f"hold-up {span(band.hold_up_Pa, 'Pa')}, lift {span(band.lift_Pa, 'Pa')}",
            "lift well above hold-up",
            _BALANCE,
            "Lay cloth in along the floor as a flap, or ballast on the base.",
        )
    lifting = [s for s in air.speeds if s.standing is Standing.LIFTS]
    if lifting:
        names = ", ".join(s.name for s in lifting)
        stays = used.standing is not Standing.LIFTS
        ways = (
            [f"use speed {used.name!r}"] if stays else [*_more_air_out(air, room), bags, "sew a deeper flap"]
        )
        yield LoadWarning(
            WarningCode.BASE_LIFTS,
            f"With the vent as set the base lifts at speed {names}: air escapes under it, the room "
            "drops, and lifts again.",
            "; ".join(f"{s.name} {span(s.pressure_Pa, 'Pa')}" for s in lifting),
            lift,
            _BALANCE,
            f"{sentence(ways)}.",
        )
    shut = [
        s
        for s in air.speeds
        if s.shut_standing is not Standing.STANDS and s.shut_pressure_Pa.high > band.lift_Pa.low
    ]
    if shut:
        sure = all(s.shut_standing is Standing.LIFTS for s in shut)
        worst = max((s.shut_pressure_Pa for s in shut), key=lambda pressure: pressure.likely)
        yield LoadWarning(
            WarningCode.VENT_SHUT_LIFTS,
            f"With the vent shut the base {'lifts' if sure else 'may lift'} "
            f"{'at every speed' if len(shut) == len(air.speeds) else 'at speed ' + ', '.join(s.name for s in shut)}"
            f", up to {span(worst, 'Pa')}: air escapes under it and the room drops.",
            "; ".join(f"{s.name} {span(s.shut_pressure_Pa, 'Pa')}" for s in shut),
            lift,
            _BALANCE,
            "Never shut it fully while the fan runs. If you must be able to, that takes "
            f"{span(hold.ballast_vent_shut_kg, 'kg', 0)} of ballast."
            if room.vent_longest_mm > 0.0
            else f"Give the doorway a vent, or lay {span(hold.ballast_vent_shut_kg, 'kg', 0)} of ballast.",
        )
    if used.standing is Standing.SAGS:
        faster = other_speed(air, 1)
        ways = [
            "close the vent farther" if air.vent_opening_mm > 1.0 else "",
            f"take speed {faster!r}" if faster else "",
            "seal the base",
        ]
        yield LoadWarning(
            WarningCode.SAGS,
            f"At speed {used.name} with the vent as set the pressure does not carry the cloth.",
            span(used.pressure_Pa, "Pa"),
            f"at least {span(band.hold_up_Pa, 'Pa')}",
            _BALANCE,
            f"{sentence(ways)}.",
        )
    elif used.standing is Standing.UNCERTAIN:
        yield LoadWarning(
            WarningCode.TUNE_VENT,
            f"At speed {used.name} nobody can tell beforehand whether this opening is right: fan and "
            "leaks are not known well enough.",
            span(used.pressure_Pa, "Pa"),
            f"between {span(band.hold_up_Pa, 'Pa')} and {span(band.lift_Pa, 'Pa')}",
            _BALANCE,
            "Set the vent on the day, with nobody inside: open it until the base stays down, close it a little "
            "if the walls go slack. Then mark it."
            if room.vent_longest_mm > 0.0
            else "Give the doorway a vent, so that the pressure can be set on the day.",
        )


def _reach_remedy(air: AirReport, room: RoomFigures, site: Site) -> str:
    """What to do where the right opening is not to be had: too much air, or too little."""
    vent, faster = air.used.vent, other_speed(air, 1)
    ways = []
    if vent.length_mm.likely > room.vent_longest_mm:
        more = "lay more ballast" if site.ballast_kg > 0.0 else "lay ballast"
        ways.append(f"{more}, which raises the pressure that the base bears, or make the vent longer")
    elif vent.length_mm.high > room.vent_longest_mm:
        ways.append("keep ballast at hand, in case it lifts with the vent fully open")
    if vent.area_m2.low == 0.0 and faster:
        ways.append(f"take speed {faster!r} if the walls stay slack")
    return f"{sentence(['; '.join(ways) or 'measure the fan'])}."


def _vent(air: AirReport, room: RoomFigures, site: Site) -> Iterator[LoadWarning]:
    vent = air.used.vent
    if vent.area_m2.likely == 0.0:
        yield LoadWarning(
            WarningCode.FAN_TOO_WEAK,
            "No speed of the fan reaches the middle of the band, even with the vent shut.",
            span(air.used.shut_pressure_Pa, "Pa"),
            f"{vent.pressure_Pa:.1f} Pa",
            _BALANCE,
            "Take a stronger fan, lighter cloth, or seal the base and the doorway.",
        )
    elif vent.reach is not Judgement.FINE:
        each = vent.length_mm.scaled(0.05)
        yield LoadWarning(
            WarningCode.VENT_OUT_OF_REACH,
            f"At speed {vent.speed} the right opening {verb(vent.reach, 'lie')} beyond what the vent "
            "or the fan can do.",
            f"{span(each, 'cm', 0)} on each side",
            f"from shut to {room.vent_longest_mm / 20.0:.0f} cm on each side"
            if room.vent_longest_mm > 0.0
            else "shut, for the doorway has no vent",
            _BALANCE,
            _reach_remedy(air, room, site),
        )
    if air.fan_assumed:
        yield LoadWarning(
            WarningCode.FAN_ASSUMED,
            "Only the fan's free air is known; its pressure is assumed, and most of the ranges come from that.",
            "no pressure curve",
            "the maker's pressure against flow",
            _OURS,
            "Ask the maker for the curve, or measure the pressure in the room: on a board that rises 1 in 20 lies "
            "a clear tube bent to a U, half full of water, one end led into the room; its two water ends come "
            "to stand 2 mm apart for each pascal.",
        )
    if air.used.door_holds_up is not Judgement.FINE:
        yield LoadWarning(
            WarningCode.DOOR_SAGS,
            f"While somebody passes the doorway the pressure falls and the room "
            f"{verb(air.used.door_holds_up, 'sag')}.",
            span(air.used.door_pressure_Pa, "Pa"),
            f"at least {span(air.band.hold_up_Pa, 'Pa')}",
            _BALANCE,
            "One person at a time; let the curtain hang shut and the walls grow firm before the next.",
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
        *_standing(air, room, site, hold),
        *_vent(air, room, site),
        *use_warnings(room, cloth, site, air, breath, forces, hold, people),
    )
