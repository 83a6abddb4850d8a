"""The pressure at which the fan's flow and the leaks' flow are the same.

Glossary: the *working point* is that pressure with its flow. The fan's pressure falls with the flow, the
leaks' need rises with it: there is exactly one. The base is taken as held down. Not known here: whether the
room stands or lifts at that pressure (see `band`).
"""

from collections.abc import Callable, Sequence

from attrs import frozen
from scipy.optimize import brentq

from shellparts.base.ranges import End, Range
from shellparts.loads.leaks import Leak, LeakLaw, leak_flow
from shellparts.parameters.fan import Fan, FanSpeed
from shellparts.parameters.fan_curve import FanCurve, fan_pressure

__all__ = ["WorkingPoint", "WorkingRange", "fan_flow", "solve_working_point", "working_range"]

_RELATIVE = 1e-15


@frozen
class WorkingPoint:
    """Where fan and leaks agree.

    Parameters
    ----------
    pressure_Pa : float
        Pressure in the room over the outside [Pa].
    flow_m3_s : float
        Flow through the room [m³/s].
    """

    pressure_Pa: float
    flow_m3_s: float


@frozen
class WorkingRange:
    """Working point with its uncertainty; pressure and flow have their ends at different corners.

    Parameters
    ----------
    pressure_Pa : Range
        From weak fan and leaky room to strong fan and tight room [Pa].
    flow_m3_s : Range
        From weak fan and tight room to strong fan and leaky room [m³/s].
    """

    pressure_Pa: Range
    flow_m3_s: Range


def _root(residual: Callable[[float], float], low: float, high: float) -> float:
    """Root to the last digits, however small."""
    return float(brentq(residual, low, high, xtol=1e-300, rtol=_RELATIVE, maxiter=2000))


def solve_working_point(curve: FanCurve, laws: Sequence[LeakLaw]) -> WorkingPoint:
    """Solve for the flow at which the leaks take just what the fan gives at its pressure.

    Parameters
    ----------
    curve : FanCurve
    laws : sequence of LeakLaw
        The ways out; with none, or all of size 0, the answer is the fan's shut-off.

    Returns
    -------
    WorkingPoint
        Leaks' flow at the pressure equals the flow within 1e-12 of it.

    Examples
    --------
    >>> point = solve_working_point(FanCurve((0.0, 1.0), (60.0, 0.0)), [LeakLaw(0.1, 0.5)])
    >>> round(point.pressure_Pa, 4), round(point.flow_m3_s, 4)
    (28.1603, 0.5307)
    """
    most = leak_flow(laws, curve.shut_off_Pa)
    if most <= 0.0:
        return WorkingPoint(curve.shut_off_Pa, 0.0)
    free = curve.free_air_m3_s
    flow = _root(lambda q: leak_flow(laws, fan_pressure(curve, q)) - q, 0.0, free)
    # The pressure is read from the leaks: the fan's curve loses digits near free air, the leaks do not.
    if flow >= most:
        return WorkingPoint(curve.shut_off_Pa, most)
    return WorkingPoint(_root(lambda p: leak_flow(laws, p) - flow, 0.0, curve.shut_off_Pa), flow)


def fan_flow(curve: FanCurve, pressure_Pa: float) -> float:
    """Flow of the fan [m³/s] against a pressure [Pa]; 0 at shut-off pressure and above.

    Examples
    --------
    >>> round(fan_flow(FanCurve((0.0, 1.0), (60.0, 0.0)), 15.0), 9)
    0.75
    """
    if pressure_Pa >= curve.shut_off_Pa:
        return 0.0
    if pressure_Pa <= 0.0:
        return curve.free_air_m3_s
    return _root(lambda q: fan_pressure(curve, q) - pressure_Pa, 0.0, curve.free_air_m3_s)


def working_range(fan: Fan, speed: FanSpeed, leaks: Sequence[Leak], density_kg_m3: float) -> WorkingRange:
    """Working point over the ranges of fan and leaks.

    Pressure rises with the fan and falls with the leaks, flow rises with both: so four corners hold every
    case between.
    """

    def corner(strength: End, leakiness: End) -> WorkingPoint:
        curve = fan.curve(speed, strength, density_kg_m3)
        return solve_working_point(curve, [leak.law(leakiness) for leak in leaks])

    likely = corner(End.LIKELY, End.LIKELY)
    return WorkingRange(
        Range(
            corner(End.LOW, End.HIGH).pressure_Pa, likely.pressure_Pa, corner(End.HIGH, End.LOW).pressure_Pa
        ),
        Range(corner(End.LOW, End.LOW).flow_m3_s, likely.flow_m3_s, corner(End.HIGH, End.HIGH).flow_m3_s),
    )
