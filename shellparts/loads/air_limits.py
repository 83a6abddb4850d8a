"""Whether the air is good enough, and the least flow of the fan that keeps it so.

Glossary: a *limit* is a most for CO2 and for the wet bulb, and whether the outdoor-air rule is asked too; air
within `CAREFUL` is good, within `UTMOST` it is to be borne with care, beyond it nobody goes in. Each of the three
falls as the flow rises, so one least flow answers for each; the largest of them decides. Where even endless flow
would not do, it is infinite: then the hall's own air is too bad, too hot or too moist.
"""

from collections.abc import Callable
from enum import Enum

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.names import Named
from shellparts.loads.draws import Draws
from shellparts.loads.inside_air import AirTask, InsideAir, co2_inside, warmth_inside
from shellparts.loads.moisture import moisture_at_wet_bulb

__all__ = [
    "CAREFUL",
    "SURE",
    "UTMOST",
    "AirGrade",
    "AirJudgement",
    "AirLimit",
    "AirNeed",
    "LeastFlow",
    "judge_air",
    "least_flow_for_air",
]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Chance from which something is taken as sure [-]: ours, nine in ten.
SURE = 0.9
_STEPS = 36  # halvings, to 1e-11 of the largest flow
_ENDLESS_M3_S = 1e7


class AirNeed(Enum):
    """What decides how much air is needed."""

    CO2 = "CO2"
    WET_BULB = "wet bulb"
    HEAT = "heat"
    OUTDOOR_AIR = "outdoor air"


class AirGrade(Enum):
    """How good the air is."""

    GOOD = "good"
    CAUTION = "caution"
    NO = "no"


@frozen
class AirLimit:
    """The most that is allowed.

    Parameters
    ----------
    co2_ppm : float
        CO2, absolute [ppm].
    wet_bulb_C : float
        Wet bulb inside [°C].
    temperature_C : float
        Temperature of the air inside, however dry [°C].
    outdoor_rule : bool
        Whether the outdoor air of the table is asked for too.
    """

    co2_ppm: float
    wet_bulb_C: float
    temperature_C: float
    outdoor_rule: bool


#: From here on with care. CO2: common practice in schools (1,000 to 1,500 ppm); wet bulb: ours, below the
#: figures at which work is broken by pauses; heat: ours, a little below the skin's 35 °C.
CAREFUL = AirLimit(1500.0, 25.0, 32.0, True)
#: From here on nobody goes in. CO2: ours, half of the usual 5,000 ppm limit for adults at work; wet bulb: ours,
#: 28 °C, about where the guides for work in the heat stop light work (from memory);
#: heat: 40 °C, from which moving air heats people instead of cooling them (WHO's guidance on heat, from memory).
UTMOST = AirLimit(2500.0, 28.0, 40.0, False)


@frozen(eq=False)
class LeastFlow:
    """The least flow through the room, need by need.

    Parameters
    ----------
    co2_m3_s, wet_bulb_m3_s, heat_m3_s, outdoor_m3_s : ndarray, shape (n,)
        What each need asks for [m³/s]; infinite where no flow is enough.
    """

    co2_m3_s: Floats
    wet_bulb_m3_s: Floats
    heat_m3_s: Floats
    outdoor_m3_s: Floats

    @property
    def flow_m3_s(self) -> Floats:
        """The flow that answers all four, shape (n,) [m³/s]."""
        return np.maximum.reduce([self.co2_m3_s, self.wet_bulb_m3_s, self.heat_m3_s, self.outdoor_m3_s])


@frozen
class AirJudgement:
    """How good the air is at one flow.

    Parameters
    ----------
    grade : AirGrade
        GOOD or CAUTION only where that is sure.
    chance_good, chance_bearable : float
        Share of the draws within `CAREFUL`, and within `UTMOST` [-].
    within : dict of AirNeed to float
        Share of the draws within `CAREFUL`, need by need [-].
    bearable : dict of AirNeed to float
        The same within `UTMOST` [-].
    """

    grade: AirGrade
    chance_good: float
    chance_bearable: float
    within: Named[AirNeed, float]
    bearable: Named[AirNeed, float]

    @property
    def worst(self) -> AirNeed:
        """Need that is met least often: beyond `UTMOST` where that decides, else beyond `CAREFUL`."""
        table = self.bearable if self.grade is AirGrade.NO else self.within
        return min(table, key=lambda need: table[need])


def _least(holds: Callable[[Floats], Flags], count: int) -> Floats:
    """Least flow at which something holds that holds from some flow on; halving in q/(1 + q)."""
    low, high = np.zeros(count), np.ones(count)
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        enough = holds(middle / (1.0 - middle))
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    flow = high / np.maximum(1.0 - high, 1e-300)
    flow = np.where(holds(np.full(count, _ENDLESS_M3_S)), flow, np.inf)
    return np.where(holds(np.zeros(count)), 0.0, flow)


def _is_cool(task: AirTask, flow_m3_s: Floats, limit_C: float) -> Flags:
    """Whether the wet bulb is within its limit; it is never above the air's temperature."""
    warm, ratio = warmth_inside(task, flow_m3_s)
    return (warm <= limit_C) | (ratio <= moisture_at_wet_bulb(warm, limit_C, task.pressure_Pa))


def least_flow_for_air(task: AirTask, limit: AirLimit = CAREFUL) -> LeastFlow:
    """Least flow through the room that keeps the air within a limit to the end of the last visit.

    Parameters
    ----------
    task : AirTask
        What is put into the air.
    limit : AirLimit
        The most that is allowed.

    Returns
    -------
    LeastFlow
        Draw by draw.
    """
    count = len(task.mixing)
    outdoor = task.outdoor_L_s / 1000.0 if limit.outdoor_rule and task.people else 0.0
    return LeastFlow(
        co2_m3_s=_least(lambda flow: co2_inside(task, flow)[0] <= limit.co2_ppm, count),
        wet_bulb_m3_s=_least(lambda flow: _is_cool(task, flow, limit.wet_bulb_C), count),
        heat_m3_s=_least(lambda flow: warmth_inside(task, flow)[0] <= limit.temperature_C, count),
        outdoor_m3_s=outdoor / task.mixing,
    )


def judge_air(draws: Draws, task: AirTask, air: InsideAir) -> AirJudgement:
    """Judge the air by its heat, dry and wet, its absolute CO2 and the outdoor-air rule.

    Parameters
    ----------
    draws : Draws
        Say the weight of each case.
    task : AirTask
    air : InsideAir
        At the flow that is judged.

    Returns
    -------
    AirJudgement
    """

    def met(limit: AirLimit) -> dict[AirNeed, Flags]:
        fresh = air.fresh_L_s >= task.outdoor_L_s * (1.0 - 1e-12)
        ruled = limit.outdoor_rule and task.people > 0
        return {
            AirNeed.CO2: air.co2_ppm <= limit.co2_ppm,
            AirNeed.WET_BULB: air.wet_bulb_C <= limit.wet_bulb_C,
            AirNeed.HEAT: air.temperature_C <= limit.temperature_C,
            AirNeed.OUTDOOR_AIR: fresh if ruled else np.ones_like(fresh),
        }

    good, borne = met(CAREFUL), met(UTMOST)
    chances = [draws.chance(np.logical_and.reduce(list(table.values()))) for table in (good, borne)]
    grade = AirGrade.GOOD if chances[0] >= SURE else AirGrade.CAUTION if chances[1] >= SURE else AirGrade.NO
    each = [
        Named("need", {need: draws.chance(holds) for need, holds in table.items()}) for table in (good, borne)
    ]
    return AirJudgement(grade, chances[0], chances[1], each[0], each[1])
