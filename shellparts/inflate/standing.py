"""How high the roof and the ways out stand at each pressure: data, and what lies between.

Glossary: the *sewn* height is that of the room as it was drawn. A *way out* is a tunnel through which people leave; its
*clear height* is explained in `walkway`. Below the lowest pressure of a curve the room is *not standing*: there is no
form, or it has sunk so low that nobody should be in it. This module does not look for balance.
"""

from enum import Enum
from functools import cached_property

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from shellparts.base.classes import brief
from shellparts.base.errors import ParameterError

__all__ = ["CurveEnd", "StandingCurve"]

Floats = NDArray[np.float64]

_BETWEEN = 64
"""Points of the table between two pressures: straight between them, heights are right to a tenth of a millimetre."""


class CurveEnd(Enum):
    """Why a curve goes no lower."""

    SUNK = "lower than anybody should walk under"
    NO_FORM = "no form in stable balance found"
    NO_MESH = "the pieces could not be sewn together in the computer"


def _floats(values: ArrayLike) -> Floats:
    """Array of floats of its own that cannot be written to."""
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array


@brief
@frozen(eq=False)
class StandingCurve:
    """Heights of a room's form under air, from the lowest pressure at which it stands to one where it is firm.

    Parameters
    ----------
    pressure_Pa : array_like (k,) float
        Pressures, rising [Pa]; none if no form was found. Each is `laps` and `mesh` times the one that its form was
        worked out for, with plain cloth.
    roof_mm : array_like (k,) float
        Highest point of the cloth at each [mm].
    ways_mm : array_like (k, n) float
        Least clear height of each way out at each [mm].
    residual : array_like (k,) float
        Forces left over at each as a share of the air's [-]; each form is in stable balance.
    sewn_roof_mm : float
        Highest point as sewn, on the same triangles [mm].
    sewn_ways_mm : array_like (n,) float
        Least clear height of each way out as sewn, on the same triangles [mm].
    mass_kg_m2 : float
        Mass of the plain cloth for which the curve was worked out [kg/m^2].
    laps : float
        How much heavier all cloth is taken because of its laps and hems, spread evenly [-].
    mesh : float
        How much more pressure it takes on small triangles than on the large ones of the curve [-].
    triangles : int
        How many the cloth was divided into.
    end : CurveEnd
        Why it goes no lower.
    end_Pa : float
        The first pressure at which no form was found [Pa]; NaN if it ends for another reason.
    why : str
        The same in words of the stage that stopped; may be empty.

    Notes
    -----
    Weight and air are the only loads: where pressure over mass is the same the form is the same, and so one curve
    serves any mass per area. Left out by that is how the cloth stretches: twice the mass at twice the pressure moves
    the roofs of the models by up to 5 mm and their ways out by up to 16 mm.

    Between the pressures heights follow a monotone cubic (F. N. Fritsch, R. E. Carlson, "Monotone piecewise cubic
    interpolation", SIAM J. Numer. Anal. 17, 1980). Where a form of a higher pressure stands lower than one of a lower
    pressure, the lower height is taken for both.

    Above the highest pressure the height there is taken: taut cloth rises by a few millimetres more. Below the
    lowest, heights are NaN.

    Examples
    --------
    >>> curve = StandingCurve([4, 6, 8], [2700, 2900, 3000], [[1500], [1900], [2000]], [1e-7] * 3, 3000, [2000], 0.2)
    >>> curve.roof_at([3.0, 6.0, 99.0]).round(3).tolist(), curve.way_out_at(12.0, 0.4).round(3).tolist()
    ([nan, 2900.0, 3000.0], 1900.0)
    >>> curve.pressure_for_way_out([1900.0, 2100.0]).tolist(), float(curve.pressure_for_roof(0.9))
    ([6.0, inf], 4.0)
    """

    pressure_Pa: Floats = field(converter=_floats)
    roof_mm: Floats = field(converter=_floats)
    ways_mm: Floats = field(converter=_floats)
    residual: Floats = field(converter=_floats)
    sewn_roof_mm: float
    sewn_ways_mm: Floats = field(converter=_floats)
    mass_kg_m2: float
    laps: float = 1.0
    mesh: float = 1.0
    triangles: int = 0
    end: CurveEnd = CurveEnd.SUNK
    end_Pa: float = np.nan
    why: str = ""

    def __attrs_post_init__(self) -> None:
        """Refuse arrays that do not fit each other, pressures that do not rise, and cloth without mass."""
        k = len(self.pressure_Pa)
        shapes = self.pressure_Pa.shape, self.roof_mm.shape, self.residual.shape, self.ways_mm.shape
        if shapes != ((k,), (k,), (k,), (k, len(self.sewn_ways_mm))):
            raise ParameterError(
                "shapes of a curve of heights",
                str(shapes),
                "one row a pressure, one column a way out",
                "give every height at every pressure",
            )
        if not (np.diff(self.pressure_Pa) > 0).all() or not (self.pressure_Pa > 0).all():
            raise ParameterError(
                "pressures of a curve of heights",
                ", ".join(f"{p:g}" for p in self.pressure_Pa) + " Pa",
                "positive and rising",
                "sort them",
            )
        if not self.mass_kg_m2 > 0:
            raise ParameterError(
                "mass of the cloth",
                f"{self.mass_kg_m2:g} kg/m2",
                "positive",
                "cloth without weight never sags",
            )

    @property
    def found(self) -> bool:
        """Whether there is any form; if not, all that is left is the formula of `loads.room_draws.hold_up_pressure`."""
        return len(self.pressure_Pa) > 0

    @property
    def rises(self) -> bool:
        """Whether roof and ways out stand the higher, the higher the pressure, to a millimetre."""
        falls = np.diff(np.column_stack([self.roof_mm, self.ways_mm]), axis=0)
        return bool((falls >= -1.0).all())

    @property
    def lowest_Pa(self) -> float:
        """Lowest pressure at which it stands, for the curve's own mass [Pa]; NaN if no form was found."""
        return float(self.pressure_Pa[0]) if self.found else np.nan

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        """Pressures, many to each of the curve's own; beside them the roof, the lowest way out, then each of them."""
        ways = self.ways_mm if self.ways_mm.shape[1] else np.full((len(self.pressure_Pa), 1), np.nan)
        heights = np.column_stack([self.roof_mm, ways.min(axis=1), ways])
        heights = np.minimum.accumulate(heights[::-1], axis=0)[::-1]
        if len(heights) < 2:
            return self.pressure_Pa, heights
        share = np.arange(_BETWEEN) / _BETWEEN
        fine = (self.pressure_Pa[:-1, None] + np.diff(self.pressure_Pa)[:, None] * share).ravel()
        fine = np.append(fine, self.pressure_Pa[-1])
        known = np.isfinite(heights).all(axis=0)
        out = np.full((len(fine), heights.shape[1]), np.nan)
        out[:, known] = PchipInterpolator(self.pressure_Pa, heights[:, known])(fine)
        return fine, out

    def _scaled(self, pressure_Pa: ArrayLike, mass_kg_m2: ArrayLike | None) -> Floats:
        """Pressures at which cloth of the curve's mass has the same form."""
        mass = self.mass_kg_m2 if mass_kg_m2 is None else np.asarray(mass_kg_m2, dtype=float)
        return np.asarray(np.asarray(pressure_Pa, dtype=float) * self.mass_kg_m2 / mass)

    def _height(self, column: int, pressure_Pa: ArrayLike, mass_kg_m2: ArrayLike | None) -> Floats:
        """Heights of one column of the table."""
        at, (fine, heights) = self._scaled(pressure_Pa, mass_kg_m2), self._table
        if not self.found:
            return np.full(at.shape, np.nan)
        found = np.interp(at, fine, heights[:, column])
        # a rounding of the scaled pressure below the lowest is the lowest
        return np.where(at >= fine[0] * (1 - 1e-12), found, np.nan)

    def _pressure(self, column: int, height_mm: ArrayLike, mass_kg_m2: ArrayLike | None) -> Floats:
        """Least pressures at which a column of the table reaches heights."""
        fine, heights = self._table
        mass = self.mass_kg_m2 if mass_kg_m2 is None else np.asarray(mass_kg_m2, dtype=float)
        asked, scale = np.broadcast_arrays(
            np.asarray(height_mm, dtype=float), np.asarray(mass) / self.mass_kg_m2
        )
        if not self.found or np.isnan(heights[0, column]):
            return np.full(asked.shape, np.nan)
        column_mm = heights[:, column]
        after = np.searchsorted(column_mm, asked, side="left")
        hi, lo = np.minimum(after, len(fine) - 1), np.clip(after - 1, 0, len(fine) - 1)
        rise = np.where(column_mm[hi] > column_mm[lo], column_mm[hi] - column_mm[lo], 1.0)
        at = fine[lo] + (fine[hi] - fine[lo]) * np.clip((asked - column_mm[lo]) / rise, 0.0, 1.0)
        at = np.where(after == len(fine), np.inf, at)
        return np.where(np.isnan(asked), np.nan, at * scale)

    def roof_at(self, pressure_Pa: ArrayLike, mass_kg_m2: ArrayLike | None = None) -> Floats:
        """Height of the roof, ``z(p · mass of the curve / mass)``.

        Parameters
        ----------
        pressure_Pa : array_like
            Pressures [Pa].
        mass_kg_m2 : array_like, optional
            Mass of the plain cloth, of a shape that fits [kg/m^2]; the curve's own if not given.

        Returns
        -------
        ndarray
            Heights [mm]; NaN where the room is not standing, or nothing is known.
        """
        return self._height(0, pressure_Pa, mass_kg_m2)

    def way_out_at(
        self, pressure_Pa: ArrayLike, mass_kg_m2: ArrayLike | None = None, way: int | None = None
    ) -> Floats:
        """Least clear height of the ways out.

        Parameters
        ----------
        pressure_Pa : array_like
            Pressures [Pa].
        mass_kg_m2 : array_like, optional
            Mass of the plain cloth, of a shape that fits [kg/m^2]; the curve's own if not given.
        way : int, optional
            Which way out, from 0; the lowest of all if not given.

        Returns
        -------
        ndarray
            Heights [mm]; NaN where the room is not standing, nothing is known, or there is no way out.
        """
        return self._height(1 if way is None else 2 + way, pressure_Pa, mass_kg_m2)

    def pressure_for_way_out(
        self, height_mm: ArrayLike, mass_kg_m2: ArrayLike | None = None, way: int | None = None
    ) -> Floats:
        """Least pressure at which every way out is so high.

        Parameters
        ----------
        height_mm : array_like
            Clear heights asked for [mm].
        mass_kg_m2 : array_like, optional
            Mass of the plain cloth, of a shape that fits [kg/m^2]; the curve's own if not given.
        way : int, optional
            Which way out, from 0; all if not given.

        Returns
        -------
        ndarray
            Pressures [Pa]: the lowest of the curve for heights below all of it, for nothing is known of less; infinite
            for heights that are not reached at the highest; NaN where nothing is known.
        """
        return self._pressure(1 if way is None else 2 + way, height_mm, mass_kg_m2)

    def pressure_for_roof(self, share: ArrayLike, mass_kg_m2: ArrayLike | None = None) -> Floats:
        """Least pressure at which the roof keeps a share of its height as sewn.

        Parameters
        ----------
        share : array_like
            Shares of the sewn height [-].
        mass_kg_m2 : array_like, optional
            Mass of the plain cloth, of a shape that fits [kg/m^2]; the curve's own if not given.

        Returns
        -------
        ndarray
            Pressures [Pa], as those of `pressure_for_way_out`.
        """
        return self._pressure(0, np.asarray(share, dtype=float) * self.sewn_roof_mm, mass_kg_m2)
