"""A membrane as flat triangles sewn together: what the solver works on.

Glossary: a *rest triangle* is a triangle of a flat piece, in the plane of the cutting table; each has its
own plane, so a welded mesh of many flat pieces is nothing special: pieces share nodes where they are sewn
and keep their own rest triangles. An *air face* bounds the air but carries no cloth: an end of a tube, an
opening that something else holds shut.

This module knows nothing of loads, supports or where a mesh comes from.
"""

from collections.abc import Sequence

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.errors import ParameterError
from shellparts.inflate.membrane import Membrane

__all__ = ["MembraneSheet", "flat_rest", "lumped_area", "signed_volume"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def _floats(values: ArrayLike) -> Floats:
    """Array of floats of its own."""
    return np.array(values, dtype=float)


def _ints(values: ArrayLike) -> Ints:
    """Array of node or cloth numbers of its own."""
    return np.array(values, dtype=np.int64)


def _faces(values: ArrayLike) -> Ints:
    """Array of faces of its own, perhaps none."""
    return _ints(values).reshape(-1, 3)


def _cloths(cloth: Membrane | Sequence[Membrane]) -> tuple[Membrane, ...]:
    """One cloth or several, as several."""
    return (cloth,) if isinstance(cloth, Membrane) else tuple(cloth)


@frozen(eq=False)
class MembraneSheet:
    """Flat triangles, the nodes that they share in space, and their cloth.

    Parameters
    ----------
    nodes : array_like (n, 3) float
        Where each node starts in space [mm]; best near the form as sewn, z up.
    triangles : array_like (m, 3) int
        Nodes of each triangle, counterclockwise seen from outside.
    rest : array_like (m, 3, 2) float
        The same corners on the flat cloth [mm], counterclockwise, each triangle in axes of its own piece.
    cloth : Membrane or sequence of Membrane
        The cloths.
    warp_angle : array_like (m,) float, optional
        Angle from the rest x axis to the warp [rad]; zero if not given.
    cloth_of : array_like (m,) int, optional
        Which of the cloths a triangle is made of; the first if not given.
    air_faces : array_like (k, 3) int, optional
        Faces that bound the air without cloth, turned like `triangles`.

    Raises
    ------
    ParameterError
        If the arrays do not fit each other or a rest triangle has no area or is turned over.
    """

    nodes: Floats = field(converter=_floats)
    triangles: Ints = field(converter=_ints)
    rest: Floats = field(converter=_floats)
    cloth: tuple[Membrane, ...] = field(converter=_cloths)
    warp_angle: Floats = field(converter=_floats, default=())
    cloth_of: Ints = field(converter=_ints, default=())
    air_faces: Ints = field(converter=_faces, default=())

    def __attrs_post_init__(self) -> None:
        """Fill in the usual values and check the arrays against each other."""
        m = len(self.triangles)
        for name, empty in (("warp_angle", np.zeros(m)), ("cloth_of", np.zeros(m, dtype=np.int64))):
            if len(getattr(self, name)) == 0:
                object.__setattr__(self, name, empty)
        shapes = {
            "nodes": (self.nodes.shape, (len(self.nodes), 3)),
            "triangles": (self.triangles.shape, (m, 3)),
            "rest": (self.rest.shape, (m, 3, 2)),
            "warp_angle": (self.warp_angle.shape, (m,)),
            "cloth_of": (self.cloth_of.shape, (m,)),
        }
        for name, (is_shape, shape) in shapes.items():
            if is_shape != shape:
                raise ParameterError(
                    f"shape of {name}", str(is_shape), str(shape), "give one row a triangle or node"
                )
        if m == 0:
            raise ParameterError("number of triangles", "0", "at least 1", "mesh the pieces first")
        for name, top in (
            ("triangles", len(self.nodes)),
            ("air_faces", len(self.nodes)),
            ("cloth_of", len(self.cloth)),
        ):
            numbers = getattr(self, name)
            if numbers.size and not (numbers.min() >= 0 and numbers.max() < top):
                raise ParameterError(
                    f"numbers in {name}",
                    f"{numbers.min()} to {numbers.max()}",
                    f"0 to {top - 1}",
                    "count from zero",
                )
        if not (np.isfinite(self.nodes).all() and np.isfinite(self.rest).all()):
            raise ParameterError("coordinates", "not all finite", "finite", "check the mesh")
        worst = int(np.argmin(self.rest_area))
        if not self.rest_area[worst] > 0:
            raise ParameterError(
                f"rest area of triangle {worst}",
                f"{self.rest_area[worst]:g} mm2",
                "positive",
                "list the corners counterclockwise and drop triangles without area",
            )

    @property
    def rest_area(self) -> Floats:
        """Area of each flat triangle [mm^2], (m,) float."""
        u, v = self.rest[:, 1] - self.rest[:, 0], self.rest[:, 2] - self.rest[:, 0]
        return 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])

    @property
    def faces(self) -> Ints:
        """All faces that bound the air, cloth first, (m + k, 3) int."""
        return np.concatenate([self.triangles, self.air_faces])

    @property
    def compliance(self) -> Floats:
        """Compliance of each triangle's cloth [mm/N], (m, 4) float."""
        return np.stack([c.compliance * 1e3 for c in self.cloth])[self.cloth_of]

    @property
    def areal_mass(self) -> Floats:
        """Mass of each triangle's cloth per area [kg/m^2], (m,) float."""
        return np.array([c.mass_kg_per_m2 for c in self.cloth])[self.cloth_of]

    def around(self, chosen: NDArray[np.bool_]) -> tuple[Ints, "MembraneSheet"]:
        """Cut out the faces that touch chosen nodes (n,): its nodes in rising order, and the cut-out."""
        cloth, air = chosen[self.triangles].any(axis=1), chosen[self.air_faces].any(axis=1)
        names = np.unique(np.concatenate([self.triangles[cloth].ravel(), self.air_faces[air].ravel()]))
        number = np.full(len(self.nodes), -1)
        number[names] = np.arange(len(names))
        return names, MembraneSheet(
            nodes=self.nodes[names],
            triangles=number[self.triangles[cloth]],
            rest=self.rest[cloth],
            cloth=self.cloth,
            warp_angle=self.warp_angle[cloth],
            cloth_of=self.cloth_of[cloth],
            air_faces=number[self.air_faces[air]],
        )

    def shape_gradients(self) -> Floats:
        """Change of a corner's weight along warp and weft [1/mm], (m, 3 corners, 2) float."""
        c, s = np.cos(self.warp_angle), np.sin(self.warp_angle)
        turn = np.stack([np.stack([c, -s], axis=-1), np.stack([s, c], axis=-1)], axis=1)
        p = self.rest @ turn
        opposite = np.roll(p, -2, axis=1) - np.roll(p, -1, axis=1)
        return np.stack([-opposite[..., 1], opposite[..., 0]], axis=-1) / (2 * self.rest_area)[:, None, None]


def flat_rest(nodes: ArrayLike, triangles: ArrayLike) -> Floats:
    """Lay each triangle flat as it is, its first edge along x: the rest shape of a form already in space.

    Parameters
    ----------
    nodes : array_like (n, 3) float
        Points [mm].
    triangles : array_like (m, 3) int
        Corners.

    Returns
    -------
    ndarray (m, 3, 2) float
        Corners on the flat [mm].

    Examples
    --------
    >>> flat_rest([[0, 0, 0], [0, 3, 0], [0, 0, 4]], [[0, 1, 2]]).tolist()
    [[[0.0, 0.0], [3.0, 0.0], [0.0, 4.0]]]
    """
    p = np.asarray(nodes, dtype=float)[np.asarray(triangles)]
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    length = np.linalg.norm(u, axis=1)
    along = np.einsum("mi,mi->m", u, v) / length
    height = np.linalg.norm(np.cross(u, v), axis=1) / length
    zero = np.zeros_like(length)
    return np.stack([zero, zero, length, zero, along, height], axis=-1).reshape(-1, 3, 2)


def signed_volume(nodes: Floats, faces: Ints) -> float:
    """Sum of the pyramids from the origin to each face.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Points [mm].
    faces : ndarray (m, 3) int
        Corners, counterclockwise seen from outside.

    Returns
    -------
    float
        Volume [mm^3]; exact for a closed form, and for one whose open edges lie in planes through the origin.
    """
    (a, b, c), (d, e, f), (g, h, i) = (nodes[faces[:, corner]].T for corner in range(3))
    return float((a * (e * i - f * h) + b * (f * g - d * i) + c * (d * h - e * g)).sum()) / 6


def lumped_area(sheet: MembraneSheet, weight: Floats | Sequence[float] | None = None) -> Floats:
    """Share a third of each flat triangle's area to each corner.

    Parameters
    ----------
    sheet : MembraneSheet
        The membrane.
    weight : array_like (m,) float, optional
        Factor on each area; one if not given.

    Returns
    -------
    ndarray (n,) float
        Area at each node [mm^2], times the unit of `weight`.
    """
    area = sheet.rest_area if weight is None else sheet.rest_area * np.asarray(weight)
    thirds, n = np.repeat(area / 3, 3), len(sheet.nodes)
    return np.bincount(sheet.triangles.ravel(), weights=thirds, minlength=n).astype(float)
