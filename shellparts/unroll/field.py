"""A face's surface, evaluated in rows.

Glossary: (u, v) are the surface's parameters; the *outside* normal is the one that the oriented face points
with. Only the kernel's exact derivatives are used; no kind of surface is treated apart.
"""

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Shape
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TColStd import TColStd_Array1OfReal
from OCP.TopoDS import TopoDS_Face

from shellparts.unroll.vectors import cross, dot

__all__ = ["SurfaceField"]

Array = NDArray[np.float64]

#: Where the projection onto the surface moves less than this, it has arrived [mm, and share of the coordinates].
_SLIP_MM, _SLIP_RATIO = 1e-10, 1e-13


class SurfaceField:
    """The surface of a face that is oriented forward; `outside` is 1 where its own normal points outside, else -1."""

    def __init__(self, face: TopoDS_Face, outside: float):
        self.surface = BRepAdaptor_Surface(face, False)
        self.outside = outside
        self._breaks: dict[tuple[bool, GeomAbs_Shape], list[float]] = {}
        self._registers = tuple(gp_Vec() for _ in range(5))
        self._point = gp_Pnt()

    def d1(self, uv: Array) -> tuple[Array, Array, Array]:
        """Points and first derivatives [mm]."""
        p, (du, dv, *_) = self._point, self._registers
        call, out = self.surface.D1, []
        for u, v in uv.tolist():
            call(u, v, p, du, dv)
            out.append(p.Coord() + du.Coord() + dv.Coord())
        table = np.array(out).T
        return table[0:3], table[3:6], table[6:9]

    def d2(self, uv: Array) -> tuple[Array, ...]:
        """Points, first and second derivatives [mm]."""
        p, (du, dv, duu, dvv, duv) = self._point, self._registers
        call, out = self.surface.D2, []
        for u, v in uv.tolist():
            call(u, v, p, du, dv, duu, dvv, duv)
            out.append(p.Coord() + du.Coord() + dv.Coord() + duu.Coord() + dvv.Coord() + duv.Coord())
        table = np.array(out).T
        return tuple(table[3 * k : 3 * k + 3] for k in range(6))

    def normals(self, uv: Array, points: Array) -> tuple[Array, Array]:
        """Unit outside normals under points, and how far the points are off the surface [mm]."""
        allowed = _SLIP_MM + _SLIP_RATIO * float(np.abs(points).max())
        at, du, dv = self.d1(uv)
        for attempt in range(5):
            e, f, g = dot(du, du), dot(du, dv), dot(dv, dv)
            away = points - at
            off = np.sqrt(dot(away, away))
            if attempt == 4 or off.max() <= allowed:
                break
            a, b, det = dot(du, away), dot(dv, away), e * g - f * f
            sound = det > 1e-10 * e * g
            det = np.where(sound, det, 1.0)
            step = np.where(sound, ((g * a - f * b) / det, (e * b - f * a) / det), 0.0)
            loose = np.abs(step[0]) * np.sqrt(e) + np.abs(step[1]) * np.sqrt(g) > allowed
            if not loose.any():
                break
            uv = uv + step.T * loose[:, None]
            if attempt == 0:
                at, du, dv = at.copy(), du.copy(), dv.copy()
            at[:, loose], du[:, loose], dv[:, loose] = self.d1(uv[loose])
        normal = cross(du, dv)
        size = np.sqrt(dot(normal, normal))
        sound = size > 1e-12 * np.sqrt(e * g) + 1e-300
        return normal * (self.outside / np.where(sound, size, np.nan)), off

    def gaussian_curvature(self, uv: Array) -> Array:
        """Gaussian curvature [1/mm²]."""
        _, du, dv, duu, dvv, duv = self.d2(uv)
        e, f, g = dot(du, du), dot(du, dv), dot(dv, dv)
        normal = cross(du, dv)
        second = dot(duu, normal) * dot(dvv, normal) - dot(duv, normal) ** 2
        area = e * g - f * f
        sound = area > 1e-12 * np.max(e * g, initial=0.0)
        return np.where(sound, second / np.where(sound, area, 1.0) ** 2, 0.0)

    def breaks(self, along_u: bool, shape: GeomAbs_Shape) -> list[float]:
        """Parameters where the surface is less smooth than asked for."""
        key = (along_u, shape)
        if key not in self._breaks:
            surface = self.surface
            count = surface.NbUIntervals(shape) if along_u else surface.NbVIntervals(shape)
            knots = TColStd_Array1OfReal(1, count + 1)
            if count > 1:
                (surface.UIntervals if along_u else surface.VIntervals)(knots, shape)
            self._breaks[key] = [knots.Value(i) for i in range(2, count + 1)]
        return self._breaks[key]
