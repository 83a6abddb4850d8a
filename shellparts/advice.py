"""The numbers as a page to read: what will happen, why, and what to do about it.

Glossary: the *working band* lies between the pressure that holds the cloth up and the pressure at which the
base lifts; the room works where a speed's line runs inside the band. Every range is lowest to highest, with
the likely value before it.
"""

import textwrap
from collections.abc import Iterator

import numpy as np

from shellparts.inflated_form import InflatedForm
from shellparts.loads.atmosphere import moist_air_density, standard_pressure
from shellparts.loads.band_tables import BandPicture, band_picture
from shellparts.loads.fan import Fan
from shellparts.loads.figures import Cloth, RoomFigures, Site
from shellparts.loads.leaks import closed_room_leaks
from shellparts.loads.ranges import Judgement, Range
from shellparts.loads.verdict import Verdict

__all__ = ["advice_page", "band_data", "band_sketch"]

_WIDTH = 92
#: Beaufort 1, light air, ends here [m/s]; from memory of the WMO scale.
_LIGHT_AIR_M_S = 1.6
_WORDS = {Judgement.FINE: "yes", Judgement.UNCERTAIN: "not sure", Judgement.NOT_MET: "no"}


def band_data(
    room: RoomFigures, fan: Fan, cloth: Cloth, site: Site, verdict: Verdict, points: int = 41
) -> BandPicture:
    """Pressure against vent opening for each speed of the fan.

    Parameters
    ----------
    room : RoomFigures
        With a vent.
    fan : Fan
    cloth : Cloth
    site : Site
    verdict : Verdict
        Of the same room.
    points : int
        Openings to work out [-].

    Returns
    -------
    BandPicture
    """
    density = moist_air_density(
        site.air_temperature_C, site.relative_humidity, standard_pressure(site.altitude_m)
    )
    leaks = closed_room_leaks(room, cloth, site.floor, density)
    return band_picture(room, fan, leaks, verdict.air.band, density, points)


def band_sketch(data: BandPicture, columns: int = 61, rows: int = 17) -> list[str]:
    """Draw the working band in plain text: speeds as digits, the band shaded.

    Parameters
    ----------
    data : BandPicture
    columns, rows : int
        Size of the field [characters].

    Returns
    -------
    list of str
        Lines.
    """
    likely = np.array([line.likely_Pa for line in data.lines])
    top = 1.08 * max(float(data.lift_Pa.likely) * 1.6, float(np.percentile(likely, 70)))
    field = [[" "] * columns for _ in range(rows)]

    def row_of(pressure: float) -> int:
        return rows - 1 - round(pressure / top * (rows - 1))

    for row in range(row_of(data.lift_Pa.likely), row_of(data.hold_up_Pa.likely) + 1):
        if 0 <= row < rows:
            field[row] = ["."] * columns
    at = np.linspace(data.vent_opening_mm[0], data.vent_opening_mm[-1], columns)
    for number, line in enumerate(data.lines, 1):
        for column, pressure in enumerate(np.interp(at, data.vent_opening_mm, line.likely_Pa)):
            if 0 <= row_of(float(pressure)) < rows:
                field[row_of(float(pressure))][column] = str(number)
    marks = {row_of(data.lift_Pa.likely): "base lifts", row_of(data.hold_up_Pa.likely): "cloth held up"}
    lines = []
    for row, letters in enumerate(field):
        pressure = (rows - 1 - row) / (rows - 1) * top
        lines.append(f"{pressure:6.1f} Pa |{''.join(letters)}| {marks.get(row, '')}".rstrip())
    longest = f"{data.vent_opening_mm[-1] / 1000:.2f} m"
    lines.append(" " * 10 + "0" + "vent open".center(columns) + longest)
    names = ", ".join(f"{i} {line.name}" for i, line in enumerate(data.lines, 1))
    lines.append(" " * 10 + f"speeds: {names}; dots: the working band")
    return lines


def _range(value: Range, form: str, unit: str) -> str:
    return f"{value.likely:{form}} {unit} ({value.low:{form}} to {value.high:{form}})"


def _wrapped(text: str, first: str, rest: str) -> Iterator[str]:
    yield from textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest)


def _outdoors(limit_m_s: float, governed_by: str) -> str:
    """The sentence about wind: below a light air a room is not for outdoors at all."""
    if limit_m_s < _LIGHT_AIR_M_S:
        return f"  Outdoors: not as it is held now; in the lightest wind {governed_by}. Anchor it first."
    return f"  Outdoors: take it down before the wind reaches {limit_m_s:.1f} m/s; then {governed_by}"


def _under_air(form: InflatedForm) -> str:
    """What the cloth does under air, in a sentence."""
    if not form.stands:
        return f"  Under air: no form to show; {form.panel.outcome.value}"
    panel = form.panel
    change = panel.height_mm - form.sewn_height_mm
    words = "higher" if change >= 0 else "lower"
    return (
        f"  Under air the top is {panel.height_mm / 1000:.2f} m up, {abs(change):.0f} mm {words} than sewn; "
        f"panels bulge {panel.panel_bulge_mm:.0f} mm"
    )


def advice_page(name: str, title: str, verdict: Verdict, form: InflatedForm, data: BandPicture | None) -> str:
    """Write the page.

    Parameters
    ----------
    name, title : str
        Of the design.
    verdict : Verdict
    form : InflatedForm
    data : BandPicture or None
        For the sketch; None for a room without a vent.

    Returns
    -------
    str
    """
    air, hold, people = verdict.air, verdict.hold_down, verdict.people
    lines = [f"{name}: {title}" if title else name, ""]
    questions = (
        ("Will it stand up?", verdict.answers.stands_up),
        ("Will it stay down?", verdict.answers.stays_down),
        ("Is the air good enough?", verdict.answers.breathable),
    )
    lines += [f"  {question:<26}{_WORDS[answer]}" for question, answer in questions]
    lines += [
        "",
        f"  Use speed {air.use_speed!r} with {air.vent_opening_mm / 1000:.2f} m of the vent open, "
        f"aiming at {air.band.target_Pa:.1f} Pa.",
        f"  The cloth is held up from  {_range(air.band.hold_up_Pa, '.1f', 'Pa')}",
        f"  The base lifts at          {_range(air.band.lift_Pa, '.1f', 'Pa')}",
        _under_air(form),
        f"  Filling takes              {_range(air.used.inflate_s, '.0f', 's')}",
        f"  When the fan stops it sinks in {_range(air.deflate_s, '.0f', 's')}; "
        f"leaving takes {_range(people.leave_s, '.0f', 's')}",
        f"  Inside: {people.inside} people; room for {people.capacity.people}, "
        f"limited by {people.capacity.limited_by}",
        f"  Ballast to add: {hold.ballast_kg:.0f} kg as set, "
        f"{_range(hold.ballast_vent_shut_kg, '.0f', 'kg')} if the vent is ever shut",
        _outdoors(hold.wind.limit_m_s, hold.wind.governed_by),
        "",
        f"  {'speed':<10}{'pressure':>22}{'fresh air':>14}{'CO2':>12}{'vent shut':>18}",
    ]
    for speed, breath in zip(air.speeds, verdict.breathing, strict=True):
        pressure = f"{speed.pressure_Pa.likely:.1f} Pa, {speed.standing.value}"
        shut = f"{speed.shut_pressure_Pa.likely:.0f} Pa, {speed.shut_standing.value}"
        lines.append(
            f"  {speed.name:<10}{pressure:>22}{breath.fresh_air_L_s_person.likely:>8.1f} L/s p"
            f"{breath.co2_steady_ppm.likely:>8.0f} ppm{shut:>18}"
        )
    lines += ["", f"  To reach {air.band.target_Pa:.1f} Pa, leave this much of the vent open:"]
    for speed in air.speeds:
        vent = speed.vent
        fits = {
            Judgement.FINE: "",
            Judgement.UNCERTAIN: "; may be out of reach",
            Judgement.NOT_MET: "; out of reach",
        }
        opening = _range(vent.length_mm.scaled(1e-3), ".2f", "m")
        lines.append(f"  {speed.name:<10}{opening:<28}{vent.clips} clips off{fits[vent.reach]}")
    if data is not None:
        lines += ["", "  Pressure in the room against how much of the vent is open (likely values)", ""]
        lines += [f"  {line}" for line in band_sketch(data)]
    if verdict.warnings:
        lines += ["", "What to know"]
        for warning in verdict.warnings:
            lines += _wrapped(f"{warning.message} ({warning.figure}; limit {warning.limit})", "  - ", "    ")
            lines += _wrapped(f"Do: {warning.remedy}", "    ", "    ")
    lines += ["", "Always"]
    for note in verdict.summary()["safety"]:
        lines += _wrapped(note, "  - ", "    ")
    return "\n".join(lines)
