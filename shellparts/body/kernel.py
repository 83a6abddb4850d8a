"""Small words for the kernel: points, curves, surfaces and faces made from numbers.

Glossary: an *outward* face is oriented so that its normal points away from the air; its boundary runs
counter-clockwise seen from there. A *pcurve* is an edge's image in the parameters of a surface. Nothing here
knows what shapes are for.
"""

from collections.abc import Callable

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray
from OCP.Geom import (
    Geom_BSplineCurve,
    Geom_Circle,
    Geom_Curve,
    Geom_CylindricalSurface,
    Geom_Ellipse,
    Geom_Plane,
    Geom_Surface,
    Geom_SurfaceOfLinearExtrusion,
)
from OCP.Geom2d import Geom2d_BSplineCurve
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from scipy.interpolate import BSpline, make_interp_spline

from shellparts.base.errors import GeometryError
from shellparts.parameters.profile import ArcRun, LineRun, Run, SplineRun

__all__ = [
    "Chart",
    "cylinder",
    "direction",
    "fit_spline",
    "kernel_curve",
    "kernel_pcurve",
    "plane",
    "point",
    "run_curve",
    "swept",
]

Array = NDArray[np.float64]
_DEGREE = 7
_FIT_MM = 1e-8
#: How often spans are halved where a curve is less smooth than elsewhere.
_HALVINGS = 8


def point(p: ArrayLike) -> gp_Pnt:
    """Kernel point from three numbers [mm]."""
    x, y, z = np.asarray(p, float).tolist()
    return gp_Pnt(x, y, z)


def direction(p: ArrayLike) -> gp_Dir:
    """Kernel direction from three numbers."""
    x, y, z = np.asarray(p, float).tolist()
    return gp_Dir(x, y, z)


def fit_spline(
    curve: Callable[[Array], Array],
    first: float,
    last: float,
    scale: ArrayLike = 1.0,
    within: float = _FIT_MM,
) -> BSpline:
    """Interpolate a smooth curve by a spline of degree 7 until it is exact enough between its nodes."""
    for spans in (16, 32, 64, 128, 256):
        t = np.linspace(first, last, spans + 1)
        spline, errors = _interpolated(curve, t, scale)
        if errors.max() < within:
            return spline
    # Somewhere only the second derivative is continuous: finer there alone.
    for _ in range(_HALVINGS):
        t = _halved(t, errors >= within)
        spline, errors = _interpolated(curve, t, scale)
        if errors.max() < within:
            return spline
    raise GeometryError(f"a curve cannot be followed to better than {errors.max():.1e} mm; it has a kink")


def _interpolated(curve: Callable[[Array], Array], t: Array, scale: ArrayLike) -> tuple[BSpline, Array]:
    """The spline through a curve at some parameters, and its error in the middle between them [mm]."""
    spline = make_interp_spline(t, curve(t), k=_DEGREE)
    between = (t[1:] + t[:-1]) / 2
    return spline, np.abs((spline(between) - curve(between)) * scale).max(axis=-1)


def _halved(t: Array, chosen: NDArray[np.bool_]) -> Array:
    """Parameters with some spans halved, and those beside them, so that no span is much longer than the next."""
    steps = np.diff(t)
    chosen = chosen.copy()
    while True:
        new = np.where(chosen, steps / 2, steps)
        long = ~chosen
        long[1:] &= new[1:] > 2.5 * new[:-1]
        after = ~chosen
        after[:-1] &= new[:-1] > 2.5 * new[1:]
        long[0] = after[-1] = False
        if not (long | after).any():
            break
        chosen |= long | after
    return np.sort(np.concatenate([t, (t[:-1] + steps / 2)[chosen]]))


def _knots(spline: BSpline) -> tuple[TColStd_Array1OfReal, TColStd_Array1OfInteger]:
    knots, counts = np.unique(spline.t, return_counts=True)
    values, multiplicities = TColStd_Array1OfReal(1, len(knots)), TColStd_Array1OfInteger(1, len(knots))
    for i, (knot, number) in enumerate(zip(knots.tolist(), counts.tolist(), strict=True), 1):
        values.SetValue(i, knot)
        multiplicities.SetValue(i, number)
    return values, multiplicities


def kernel_curve(spline: BSpline) -> Geom_BSplineCurve:
    """Kernel curve of a spline in space."""
    poles = TColgp_Array1OfPnt(1, len(spline.c))
    for i, pole in enumerate(spline.c, 1):
        poles.SetValue(i, point(pole))
    return Geom_BSplineCurve(poles, *_knots(spline), spline.k)


def kernel_pcurve(spline: BSpline) -> Geom2d_BSplineCurve:
    """Kernel curve of a spline in the parameters of a surface."""
    poles = TColgp_Array1OfPnt2d(1, len(spline.c))
    for i, (u, v) in enumerate(spline.c.tolist(), 1):
        poles.SetValue(i, gp_Pnt2d(u, v))
    return Geom2d_BSplineCurve(poles, *_knots(spline), spline.k)


@frozen(eq=False)
class Chart:
    """A curved surface with its parameters."""

    surface: Geom_Surface  # Its normal points outward
    #: Takes points on the surface, shape (n, 3) [mm], and gives its parameters, shape (n, 2).
    parameters: Callable[[Array], Array]
    scale: tuple[float, float]  # Millimetres for a step of 1 in each parameter, at most


def run_curve(run: Run, stretch: float, outward: ArrayLike) -> tuple[Geom_Curve | None, float, float]:
    """Kernel curve of one run of a profile, in the upright plane through the axis that holds `outward`."""
    out, up = np.asarray(outward, float), np.array([0.0, 0.0, 1.0])
    if isinstance(run, LineRun):
        return None, 0.0, 1.0
    if isinstance(run, SplineRun):
        poles = np.outer(run.poles[:, 0] * stretch, out) + np.outer(run.poles[:, 1], up)
        return kernel_curve(BSpline(run.knots, poles, run.degree)), 0.0, run.last
    if not isinstance(run, ArcRun):
        raise TypeError(f"no kernel curve for a run of type {type(run).__name__}")
    centre = point(out * run.centre[0] * stretch + up * run.centre[1])
    level, upright, around = run.radius * stretch, run.radius, direction(np.cross(out, up))
    if level == upright:
        return Geom_Circle(gp_Ax2(centre, around, direction(out)), level), run.first, run.last
    if level > upright:
        return Geom_Ellipse(gp_Ax2(centre, around, direction(out)), level, upright), run.first, run.last
    quarter = np.pi / 2
    ellipse = Geom_Ellipse(gp_Ax2(centre, around, direction(up)), upright, level)
    return ellipse, run.first - quarter, run.last - quarter


def plane(origin: ArrayLike, normal: ArrayLike) -> Geom_Surface:
    """Plane through a point [mm] with an outward normal."""
    return Geom_Plane(gp_Ax3(point(origin), direction(normal)))


def cylinder(origin: ArrayLike, axis: ArrayLike, zero: ArrayLike, radius: float) -> Geom_Surface:
    """Cylinder about an axis through a point [mm], angles counted from `zero`; its normal points outward."""
    return Geom_CylindricalSurface(gp_Ax3(point(origin), direction(axis), direction(zero)), radius)


def swept(run: Run, stretch: float, outward: ArrayLike) -> Geom_Surface:
    """Surface of a curved run swept level at a right angle to its plane; its normal points outward.

    Its first parameter is the curve's, its second the distance along ``outward x up``. A circle gives a
    cylinder.
    """
    out = np.asarray(outward, float)
    sweep = np.cross(out, [0.0, 0.0, 1.0])
    if isinstance(run, ArcRun) and stretch == 1.0:
        return cylinder(out * run.centre[0] + np.array([0.0, 0.0, run.centre[1]]), sweep, out, run.radius)
    curve, _, _ = run_curve(run, stretch, out)
    return Geom_SurfaceOfLinearExtrusion(curve, direction(sweep))
