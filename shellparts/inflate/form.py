"""From a design to its form under air: one panel between mirror planes, at the pressure it works at. No kernel.

Glossary: *as sewn* is the form that the pieces were drawn for; *as inflated* the one that the cloth takes
under air. The *drift* of a figure is how much it changed when the mesh was made four times finer, an estimate
of what a finer one still would change. Doorway, sleeve and flap are left out: the figures are those of a
panel far from them.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.classes import brief, evolve
from shellparts.base.errors import ParameterError
from shellparts.base.names import Named
from shellparts.base.units import metric
from shellparts.inflate import InflatedPanel, Loads, Membrane, Outcome, half_panel
from shellparts.parameters import Design, Shell
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.profile import LineRun

__all__ = [
    "InflatedForm",
    "inflated_form",
    "largest_pull",
    "membrane",
    "mid_stations",
    "sized_as_inflated",
    "wrinkled_share",
]

#: Triangles of half a panel, and of the coarse mesh that the drift is told from.
_TRIANGLES, _COARSE = 1500, 375
#: Points of the mid-line along one curved stretch of the profile.
_PER_RUN = 49
#: A size is met when the inflated one is this near [mm].
_SIZE_MM = 0.5
_ROUNDS = 12


def mid_stations(shell: Shell) -> NDArray[np.float64]:
    """Where the middle of a panel runs, and how wide the panel is there.

    Parameters
    ----------
    shell : Shell

    Returns
    -------
    ndarray, shape (k, 4)
        From the floor up: distance along the mid-line, half width, radius and height as sewn [mm].
    """
    mid, walked = shell.mid, 0.0
    rows: list[NDArray[np.float64]] = []
    for run, curve in enumerate(mid.runs):
        t = np.linspace(0.0, 1.0, 2 if isinstance(curve, LineRun) else _PER_RUN)
        points = mid.points(run, t)
        lengths = walked + np.array([mid.run_length(run, u) for u in t])
        table = np.column_stack([lengths, points[:, 0] * shell.tangent, points])
        rows.append(table[1 if rows else 0 :])
        walked = float(lengths[-1])
    return np.concatenate(rows)


def membrane(cloth: Cloth) -> Membrane:
    """Give the cloth as the mechanics sees it.

    Parameters
    ----------
    cloth : Cloth
        Of the numbers stage: its stiffness [N/m] and its likely mass per area [kg/m2].

    Returns
    -------
    Membrane
    """
    return Membrane(
        cloth.warp_stiffness_N_m,
        cloth.weft_stiffness_N_m,
        cloth.shear_stiffness_N_m,
        cloth.poisson,
        cloth.mass_kg_m2.likely,
    )


@brief
@frozen(eq=False)
class InflatedForm:
    """A room under air, beside the room as sewn.

    Parameters
    ----------
    pressure_Pa : float
        Of the air inside over that outside [Pa].
    panel : InflatedPanel
        The half panel, with the figures of the whole room.
    drift : dict
        Change of each figure from a mesh with a quarter of the triangles, in the figure's unit.
    sewn_height_mm : float
        Height of the shell as sewn, its cap flat [mm].
    sewn_widest_mm : float
        Largest diameter over the seams as sewn [mm].
    """

    pressure_Pa: float
    panel: InflatedPanel
    drift: Named[str, float]
    sewn_height_mm: float
    sewn_widest_mm: float

    @property
    def stands(self) -> bool:
        """Whether the figures are those of a form in balance."""
        return self.panel.outcome is Outcome.CONVERGED

    def record(self) -> dict[str, Any]:
        """Plain data; figures only for a form in balance."""
        told = {"outcome": self.panel.outcome.value, "pressure_Pa": self.pressure_Pa}
        if not self.stands:
            return {**told, "triangles": self.panel.triangles, "residual": self.panel.residual}
        figures = dict(self.panel.summary())
        return {
            **told,
            **figures,
            "uplift_N": self.panel.uplift_N,
            "height_change_mm": self.panel.height_mm - self.sewn_height_mm,
            "widest_change_mm": self.panel.widest_diameter_mm - self.sewn_widest_mm,
            "drift": self.drift,
        }


@lru_cache(maxsize=4)
def _half(design: Design, cloth: Cloth, pressure_Pa: float, triangles: int) -> InflatedPanel:
    """Half a panel of a design under air; kept, for several figures are read off the same form."""
    shell = design.shell
    return half_panel(
        mid_stations(shell), shell.panels, membrane(cloth), Loads(pressure_Pa), triangles=triangles
    )


def inflated_form(design: Design, cloth: Cloth, pressure_Pa: float) -> InflatedForm:
    """Blow a room up in the computer, by half a panel of it.

    Parameters
    ----------
    design : Design
        Its shell counts; the whole foot is taken to be held where it was sewn.
    cloth : Cloth
        Mass per area and stiffness.
    pressure_Pa : float
        Pressure inside over outside [Pa].

    Returns
    -------
    InflatedForm
    """
    shell = design.shell
    stations = mid_stations(shell)
    coarse, fine = (_half(design, cloth, pressure_Pa, count) for count in (_COARSE, _TRIANGLES))
    before = coarse.summary()
    drift = {
        key: abs(value - before[key])
        for key, value in fine.summary().items()
        if key not in {"triangles", "residual"}
    }
    widest = 2 * float(stations[:, 2].max()) / float(np.cos(shell.half_angle))
    return InflatedForm(pressure_Pa, fine, Named("figure", drift), shell.mid.top[1], widest)


def largest_pull(design: Design, cloth: Cloth, pressure_Pa: float) -> float | None:
    """Largest force in the cloth at a pressure [Pa], a mean over a hand's breadth [N/m]; None without a stable form."""
    panel = _half(design, cloth, pressure_Pa, _COARSE)
    if panel.outcome is not Outcome.CONVERGED:
        return None
    return max(panel.max_hoop_N_per_m, panel.max_meridian_N_per_m)


def wrinkled_share(design: Design, cloth: Cloth, pressure_Pa: float) -> float | None:
    """Share of the cloth, wrinkled or slack, in `inflated_form` at a pressure [Pa]; None without a stable form."""
    panel = _half(design, cloth, pressure_Pa, _TRIANGLES)
    return panel.wrinkled_fraction if panel.outcome is Outcome.CONVERGED else None


def _stretched(shell: Shell, across: float, upward: float) -> Shell:
    """The shell with its size across and its height times two factors; the upright wall keeps its height."""
    if shell.points is not None:
        return evolve(shell, points=tuple((r * across, z * upward) for r, z in shell.points))
    assert shell.across is not None and shell.height is not None  # a drawn profile has both
    return evolve(shell, across=shell.across * across, height=shell.height * upward)


def sized_as_inflated(
    design: Design, cloth: Cloth, pressure_of: Callable[[Design], float]
) -> tuple[Design, InflatedForm]:
    """Correct a pattern so that the room under air has the sizes that were asked for.

    Height and widest diameter of the shell, which the design states as sewn, are met under air instead; what
    is sewn comes out a little larger or smaller.

    Parameters
    ----------
    design : Design
    cloth : Cloth
    pressure_of : callable
        Pressure that a design works at [Pa].

    Returns
    -------
    design : Design
        The one to sew.
    form : InflatedForm
        Its form under air.

    Raises
    ------
    ParameterError
        If the cloth takes no stable form, or no correction meets the sizes within 0.5 mm.
    """
    asked = inflated_form(design, cloth, pressure_of(design))
    form, sewn = asked, design
    across = upward = 1.0
    for _ in range(_ROUNDS):
        if not form.stands:
            raise ParameterError(
                "form under air",
                form.panel.outcome.value,
                "a stable form in balance",
                "raise the pressure, or take the sizes as sewn",
            )
        width = form.panel.widest_diameter_mm - asked.sewn_widest_mm
        height = form.panel.height_mm - asked.sewn_height_mm
        if max(abs(width), abs(height)) <= _SIZE_MM:
            return sewn, form
        across *= asked.sewn_widest_mm / form.panel.widest_diameter_mm
        upward *= asked.sewn_height_mm / form.panel.height_mm
        sewn = evolve(design, shell=_stretched(design.shell, across, upward))
        form = inflated_form(sewn, cloth, pressure_of(sewn))
    raise ParameterError(
        "size under air",
        f"{metric(form.panel.widest_diameter_mm)} across and {metric(form.panel.height_mm)} high after "
        f"{_ROUNDS} corrections",
        f"within {_SIZE_MM} mm of {metric(asked.sewn_widest_mm)} and {metric(asked.sewn_height_mm)}",
        "take the sizes as sewn",
    )
