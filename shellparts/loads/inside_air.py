"""The air that people inside breathe at the end of the visits: CO2, warmth, moisture, outdoor air, draw by draw.

Glossary: the *air's task* is what people, lamps and fan put into the air, with the room and the hall that take it
up; one flow through the room then gives the *inside air*. CO2 is absolute and the wet bulb is inside the room.
Not known here: sun on the cloth, people who run about (they give off two to four times as much), smoke.
"""

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.ranges import Range
from shellparts.loads.atmosphere import moist_air_density, standard_pressure
from shellparts.loads.breathing import co2_given_off, required_outdoor_air
from shellparts.loads.draws import Draws
from shellparts.loads.hall_air import Visits, co2_after_visits, co2_at_site
from shellparts.loads.moisture import moisture_ratio, relative_humidity_of, wet_bulb
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.warmth import CLOTH_U_VALUE, PERSON_W, moisture_gained, temperature_inside
from shellparts.parameters.site import Crowd, Site

__all__ = [
    "CO2_SHARE",
    "MIXING",
    "AirTask",
    "InsideAir",
    "air_task",
    "co2_inside",
    "inside_air",
    "warmth_inside",
]

Floats = NDArray[np.float64]

#: Share of the fan's air that reaches people [-]: from memory of ASHRAE 62.1's zone effectiveness.
MIXING = Range(0.8, 1.0, 1.0)
#: CO2 that people give off over the published figure [-]: ours; restless children above, sleepers below.
CO2_SHARE = Range(0.8, 1.0, 1.5)


@frozen(eq=False)
class AirTask:
    """What is put into the air of one room at one site.

    Parameters
    ----------
    people : int
        People inside [-].
    co2_L_s : ndarray, shape (n,)
        CO2 that they give off, in litres of the site's air [L/s].
    people_W : ndarray, shape (n,)
        Their sensible warmth in usual air, all together [W].
    other_W : float
        Lamps, devices and fan [W].
    through_W_K : ndarray, shape (n,)
        Warmth through the cloth for each kelvin [W/K].
    mixing : ndarray, shape (n,)
        Share of the fan's air that reaches people [-].
    room_m3 : float
        Air in the room [m³].
    visits : Visits
    outdoor_L_s : float
        Outdoor air that the crowd and the floor ask for [L/s].
    site : Site
        Says the hall, the background, the air's warmth and moisture.
    pressure_Pa, density_kg_m3 : float
        Of the site's air [Pa], [kg/m³].
    """

    people: int
    co2_L_s: Floats
    people_W: Floats
    other_W: float
    through_W_K: Floats
    mixing: Floats
    room_m3: float
    visits: Visits
    outdoor_L_s: float
    site: Site
    pressure_Pa: float
    density_kg_m3: float


@frozen(eq=False)
class InsideAir:
    """The air at the end of the last visit.

    Parameters
    ----------
    co2_ppm, hall_co2_ppm : ndarray, shape (n,)
        CO2 in the room and in its hall, absolute [ppm].
    temperature_C, wet_bulb_C : ndarray, shape (n,)
        In the room [°C].
    relative_humidity : ndarray, shape (n,)
        In the room [-].
    fresh_L_s : ndarray, shape (n,)
        The fan's air that reaches people [L/s].
    """

    co2_ppm: Floats
    hall_co2_ppm: Floats
    temperature_C: Floats
    wet_bulb_C: Floats
    relative_humidity: Floats
    fresh_L_s: Floats


def air_task(draws: Draws, room: RoomFigures, site: Site, crowd: Sequence[Crowd], fan_W: float) -> AirTask:
    """Sum up what is put into the air.

    Parameters
    ----------
    draws : Draws
        Say CO2, warmth, U-value and mixing of each case.
    room : RoomFigures
    site : Site
    crowd : sequence of Crowd
        Who is inside.
    fan_W : float
        Power of the fan at its speed [W].

    Returns
    -------
    AirTask

    Raises
    ------
    ParameterError
        If altitude, temperature or humidity cannot be.
    """
    people = sum(part.count for part in crowd)
    pressure = standard_pressure(site.altitude_m)
    given = co2_at_site(co2_given_off(crowd), pressure, site.air_temperature_C)
    return AirTask(
        people=people,
        co2_L_s=given * draws.between("people's CO2", CO2_SHARE),
        people_W=people * draws.between("people's warmth", PERSON_W),
        other_W=site.lamps_W + fan_W,
        through_W_K=room.surface_area_m2 * draws.between("cloth's U-value", CLOTH_U_VALUE),
        mixing=draws.between("mixing", MIXING),
        room_m3=room.envelope_volume_m3,
        visits=Visits(60.0 * site.visit_minutes, site.visits_in_a_row, 60.0 * site.pause_minutes),
        outdoor_L_s=required_outdoor_air(site.space, people, room.floor_area_m2),
        site=site,
        pressure_Pa=pressure,
        density_kg_m3=moist_air_density(site.air_temperature_C, site.relative_humidity, pressure),
    )


def co2_inside(task: AirTask, flow_m3_s: ArrayLike) -> tuple[Floats, Floats]:
    """CO2 in the room and in the hall at the end of the last visit, by `co2_after_visits`.

    Parameters
    ----------
    task : AirTask
    flow_m3_s : array_like, shape (n,)
        Flow through the room [m³/s]; only the share that reaches people counts.

    Returns
    -------
    tuple of ndarray, shape (n,)
        Both, absolute [ppm].
    """
    site = task.site
    reached = np.asarray(flow_m3_s, float) * task.mixing
    hall_m3, changes = (site.hall_volume_m3, site.hall_air_changes_h) if site.indoors else (math.inf, 0.0)
    return co2_after_visits(
        task.co2_L_s, reached, task.room_m3, hall_m3, changes, task.visits, site.background_co2_ppm
    )


def warmth_inside(task: AirTask, flow_m3_s: ArrayLike) -> tuple[Floats, Floats]:
    """Temperature and moisture ratio to which the room settles.

    Parameters
    ----------
    task : AirTask
    flow_m3_s : array_like, shape (n,)
        Flow through the room [m³/s].

    Returns
    -------
    tuple of ndarray, shape (n,)
        Temperature [°C] and moisture ratio [kg/kg], which may be more than the air can hold.
    """
    site, flow = task.site, np.asarray(flow_m3_s, float)
    inside = temperature_inside(
        site.air_temperature_C, flow, task.people_W, task.other_W, task.through_W_K, task.density_kg_m3
    )
    drawn = moisture_ratio(site.air_temperature_C, site.relative_humidity, task.pressure_Pa)
    return inside, drawn + moisture_gained(inside, flow, task.people_W, task.density_kg_m3)


def inside_air(task: AirTask, flow_m3_s: ArrayLike) -> InsideAir:
    """All that is judged of the air at one flow.

    Parameters
    ----------
    task : AirTask
    flow_m3_s : array_like, shape (n,)
        Flow through the room [m³/s].

    Returns
    -------
    InsideAir
    """
    flow = np.broadcast_to(np.asarray(flow_m3_s, float), task.mixing.shape)
    co2, hall = co2_inside(task, flow)
    warm, ratio = warmth_inside(task, flow)
    share = relative_humidity_of(warm, ratio, task.pressure_Pa)
    return InsideAir(
        co2_ppm=co2,
        hall_co2_ppm=hall,
        temperature_C=warm,
        wet_bulb_C=wet_bulb(warm, share, task.pressure_Pa),
        relative_humidity=share,
        fresh_L_s=1000.0 * flow * task.mixing,
    )
