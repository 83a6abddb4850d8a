"""The air of one room: how far the vent is opened, and what each speed of the fan then does.

Glossary: *closed* is the room with its vent shut and nobody in the doorway; *wide open* has the vent as far
open as it goes, or as the site says. Each formula stands in the module of its idea.
"""

from collections.abc import Sequence

from shellparts.base.checks import between
from shellparts.base.ranges import End, Range, judge_at_least
from shellparts.loads.atmosphere import moist_air_density, standard_pressure
from shellparts.loads.band import Band, floating_gap, standing_of, working_band
from shellparts.loads.leaks import (
    DOOR_IN_USE_SHARE,
    Leak,
    closed_room_leaks,
    doorway_leak,
    leak_flow,
    opening_leak,
)
from shellparts.loads.results import AirResult, SpeedResult
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.timing import deflate_time, inflate_time
from shellparts.loads.vent import VentSetting, open_area, vent_setting
from shellparts.loads.working_point import fan_flow, working_range
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.site import Site

__all__ = ["air_of", "strongest_pressure"]


def air_of(room: RoomFigures, fan: Fan, cloth: Cloth, site: Site) -> AirResult:
    """Choose vent and speed, and work out what the air does.

    Raises
    ------
    ParameterError
        If the vent is to be opened farther than it is long.
    """
    longest, density = room.vent_longest_mm, _density(site)
    closed = closed_room_leaks(room, cloth, site.floor, density)
    band = working_band(room, cloth, site.ballast_kg)
    settings = [
        vent_setting(fan, speed, closed, band.target_Pa, density, longest, site.clip_spacing_mm)
        for speed in fan.speeds
    ]
    chosen = _choose(settings, longest)
    if site.vent_opening_mm is None:
        opening, widest = min(settings[chosen].length_mm.likely, longest), longest
    else:
        remedy = (
            "open it less far, or leave a longer vent in the doorway"
            if longest
            else "give the doorway a vent"
        )
        opening = widest = between("vent opening", site.vent_opening_mm, 0.0, longest, "mm", remedy)
    leaks = (*closed, opening_leak("vent", open_area(opening), density))
    wide_open = (*closed, opening_leak("vent", open_area(widest), density))
    in_use = (*leaks, doorway_leak(room, DOOR_IN_USE_SHARE, density))

    def result(speed: FanSpeed, setting: VentSetting) -> SpeedResult:
        point, shut, wide, door = (
            working_range(fan, speed, ways, density) for ways in (leaks, closed, wide_open, in_use)
        )
        shut_pressure, lift = shut.pressure_Pa, band.lift_Pa
        least = Range(*(fan_flow(fan.curve(speed, end, density), lift.high) for end in End))
        filling = inflate_time(room.envelope_volume_m3, fan, speed, closed, band.hold_up_Pa.likely, density)
        return SpeedResult(
            name=speed.name,
            pressure_Pa=point.pressure_Pa,
            flow_m3_s=point.flow_m3_s,
            # with its base free to lift the room gets at least what the fan gives at the lift pressure
            lifted_flow_m3_s=Range(*(max(point.flow_m3_s.at(end), least.at(end)) for end in End)),
            lift_ratio=point.pressure_Pa.scaled(1.0 / lift.likely),
            standing=standing_of(point.pressure_Pa, band),
            floating_gap_mm=_gap(room, fan, speed, leaks, band, density),
            vent=setting,
            open_pressure_Pa=wide.pressure_Pa,
            shut_pressure_Pa=shut_pressure,
            shut_standing=standing_of(shut_pressure, band),
            shut_gap_mm=_gap(room, fan, speed, closed, band, density),
            door_pressure_Pa=door.pressure_Pa,
            door_holds_up=judge_at_least(door.pressure_Pa, band.hold_up_Pa),
            inflate_s=filling,
        )

    return AirResult(
        density_kg_m3=density,
        band=band,
        speeds=tuple(map(result, fan.speeds, settings)),
        use_speed=fan.speeds[chosen].name,
        vent_opening_mm=opening,
        vent_area_m2=open_area(opening),
        deflate_s=deflate_time(room, fan, in_use, band, density),
    )


def _density(site: Site) -> float:
    """Density of the air that the fan draws [kg/m³]."""
    return moist_air_density(
        site.air_temperature_C, site.relative_humidity, standard_pressure(site.altitude_m)
    )


def _choose(settings: Sequence[VentSetting], longest_mm: float) -> int:
    """Slowest speed whose likely opening exists and fits; else the slowest strong enough; else the fastest."""
    strong = [i for i, s in enumerate(settings) if s.area_m2.likely > 0.0]
    fitting = [i for i in strong if settings[i].length_mm.likely <= longest_mm]
    return (fitting or strong or [len(settings) - 1])[0]


def _gap(
    room: RoomFigures, fan: Fan, speed: FanSpeed, leaks: Sequence[Leak], band: Band, density: float
) -> float:
    """Likely gap under the base when the pressure would be above the lift pressure [mm]."""
    lift = band.lift_Pa.likely
    supply = fan_flow(fan.curve(speed, End.LIKELY, density), lift)
    escaping = supply - leak_flow([leak.law(End.LIKELY) for leak in leaks], lift)
    return floating_gap(escaping, lift, room.base_perimeter_m, density)


def strongest_pressure(site: Site, air: AirResult) -> Range:
    """Most that the fan can do: its fastest speed with the vent shut, or as set where the site says so.

    Parameters
    ----------
    site : Site
        Says whether the vent is set beforehand.
    air : AirResult

    Returns
    -------
    Range
        Pressure with the base held down [Pa].
    """
    fastest = air.speeds[-1]
    return fastest.shut_pressure_Pa if site.vent_opening_mm is None else fastest.pressure_Pa
