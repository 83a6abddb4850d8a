"""Thread and time: how much goes into a length of seam.

Glossary: a *lockstitch*, stitch type 301 of ISO 4915, is what a household machine sews: needle thread and
bobbin thread locked inside the cloth. The *ratio* is thread over seam; *waste* is the share for ends and
breakage, never hidden in a ratio; *pace* is metres of one row sewn in a minute. This module knows no seams.
"""

from collections.abc import Sequence

from attrs import frozen

from shellparts.base.errors import ParameterError

__all__ = ["Machine", "lockstitch_ratio", "row_minutes", "thread_length"]


def _positive(what: str, value: float, unit: str, zero: bool = False) -> None:
    if not (0.0 <= value < float("inf")) or (value == 0.0 and not zero):
        limit = f"0 {unit} or more" if zero else f"more than 0 {unit}"
        raise ParameterError(what, f"{value:g} {unit}", limit, "correct the figure")


@frozen(kw_only=True)
class Machine:
    """The machine, the cloth under its needle, and the people who serve it. The defaults are assumptions of ours
    for woven polyethylene sheet, a household machine and helpers who have not done it before.

    Parameters
    ----------
    mass_kg_m2 : float
        Of the cloth [kg/m2].
    thickness_mm : float
        Of one layer of it [mm].
    stitch_mm : float
        Length of a stitch [mm].
    waste : float
        Thread for ends and breakage, a share; the trade reckons 0.1 to 0.2.
    pace_m_min : float
        Of one row, with laying the notches on each other and clipping [m/min].
    setting_min : float
        For fetching, laying out and clearing away, once a step [min].
    load_kg : float
        A helper holds this much of the bundle beside the machine [kg], at most 23 kg.
    reach_m : float
        A helper keeps this length of seam running straight towards the machine [m].

    Raises
    ------
    ParameterError
        If a figure is not positive, or the load is more than one person should lift.

    References
    ----------
    Load constant of 23 kg: NIOSH, Applications Manual for the Revised Lifting Equation, publication 94-110.
    """

    mass_kg_m2: float = 0.2
    thickness_mm: float = 0.25
    stitch_mm: float = 4.0
    waste: float = 0.15
    pace_m_min: float = 0.6
    setting_min: float = 5.0
    load_kg: float = 8.0
    reach_m: float = 3.0

    def __attrs_post_init__(self) -> None:
        """Check the figures."""
        _positive("mass of cloth", self.mass_kg_m2, "kg/m2")
        _positive("thickness of cloth", self.thickness_mm, "mm", zero=True)
        _positive("length of a stitch", self.stitch_mm, "mm")
        _positive("thread waste", self.waste, "", zero=True)
        _positive("pace of sewing", self.pace_m_min, "m/min")
        _positive("time to set up a step", self.setting_min, "min", zero=True)
        _positive("load of a helper", self.load_kg, "kg")
        _positive("reach of a helper", self.reach_m, "m")
        if self.load_kg > 23.0:
            raise ParameterError(
                "load of a helper", f"{self.load_kg:g} kg", "at most 23 kg", "let more people hold the cloth"
            )


def lockstitch_ratio(thickness_mm: float, stitch_mm: float) -> float:
    r"""Thread in a row of lockstitches, needle and bobbin together, over the length of the row.

    .. math:: C = 2 + 2 T S

    Parameters
    ----------
    thickness_mm : float
        Thickness of all layers that the row goes through, T [mm].
    stitch_mm : float
        Length of one stitch, 1/S [mm].

    Returns
    -------
    float
        Ratio; it counts no ends and no waste.

    References
    ----------
    Trade formula for stitch type 301 of ISO 4915.

    Examples
    --------
    >>> round(lockstitch_ratio(0.254, 2.54), 6)
    2.2
    """
    _positive("thickness of the layers", thickness_mm, "mm", zero=True)
    _positive("length of a stitch", stitch_mm, "mm")
    return 2.0 + 2.0 * thickness_mm / stitch_mm


def thread_length(length_mm: float, layers: Sequence[int], machine: Machine) -> float:
    """Thread for a seam, waste included [m].

    Examples
    --------
    >>> round(thread_length(10_000.0, (2, 3), Machine(thickness_mm=0.2, stitch_mm=4.0, waste=0.15)), 3)
    51.75
    """
    ratios = (lockstitch_ratio(count * machine.thickness_mm, machine.stitch_mm) for count in layers)
    return length_mm / 1000.0 * sum(ratios) * (1.0 + machine.waste)


def row_minutes(length_mm: float, rows: int, machine: Machine) -> float:
    """Time at the machine for a seam [min].

    Examples
    --------
    >>> row_minutes(6000.0, 2, Machine(pace_m_min=1.5))
    8.0
    """
    return length_mm / 1000.0 * rows / machine.pace_m_min
