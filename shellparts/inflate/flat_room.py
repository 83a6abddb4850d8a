"""The flat pieces of a room as plain arrays, and what is sewn to what: all that inflating it needs to know.

Glossary: a *line* is one stretch of a piece's edge or a fold inside it; its *key* is the same on both pieces
where it is sewn, and names its course in space as well. A *fold* is a line inside a piece, where its two
sides may stand at an angle.

`flat_room` makes the arrays from outlines; anything else that can fill them in will do as well. This module
knows nothing of triangles, cloth or air.
"""

from collections.abc import Mapping

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.seams import EdgeRole, EdgeUse, SeamGraph
from shellparts.parameters.part import Part, Role
from shellparts.pattern.placing import placed, rounded
from shellparts.unroll.outline import FlatEdge, Form, Outline

__all__ = ["FlatLine", "FlatRoom", "FlatSheet", "flat_room"]

Floats = NDArray[np.float64]

_SAMPLES = 257
"""Points along a curved line: nodes put between them lie less than 0.01 mm off it on any room."""


@frozen(eq=False)
class FlatLine:
    """One stretch of an edge, or a fold.

    Parameters
    ----------
    key : int
        Its name in the room.
    forward : bool
        Whether it is walked in the direction of its course in space.
    s : ndarray (k,) float
        Length walked up to each point, from zero [mm].
    xy : ndarray (k, 2) float
        Points on the flat piece, in walking order [mm].
    sewn_to : tuple of str
        Pieces that go on across it: partners of a seam, or the piece itself at a fold or at the joint of a
        tube; none at a hem or an open edge.
    """

    key: int
    forward: bool
    s: Floats
    xy: Floats
    sewn_to: tuple[str, ...]

    @property
    def length_mm(self) -> float:
        """Its length on the flat."""
        return float(self.s[-1])

    def at(self, share: ArrayLike) -> Floats:
        """Points at shares of the length from where the walk starts, (k, 2) [mm]."""
        s = np.asarray(share, dtype=float) * self.s[-1]
        return np.stack([np.interp(s, self.s, self.xy[:, i]) for i in (0, 1)], axis=-1)

    @property
    def reversed(self) -> "FlatLine":
        """The same line walked the other way."""
        return FlatLine(self.key, not self.forward, self.s[-1] - self.s[::-1], self.xy[::-1], self.sewn_to)


@frozen(eq=False)
class FlatSheet:
    """One flat piece as it lies on the table.

    Parameters
    ----------
    name : str
        Unique in the room.
    kind : Part
        What it is.
    loops : tuple of tuple of FlatLine
        The outer edge counterclockwise as seen from outside the room, then holes clockwise.
    folds : tuple of FlatLine
        Lines inside, from edge to edge.
    """

    name: str
    kind: Part
    loops: tuple[tuple[FlatLine, ...], ...]
    folds: tuple[FlatLine, ...] = ()


@frozen(eq=False)
class FlatRoom:
    """All flat pieces of a room.

    Parameters
    ----------
    sheets : tuple of FlatSheet
        The pieces, one for each that is sewn in.
    space : mapping of int to ndarray (k, 3) float
        Course of each line in the room as sewn, by key, floor at z = 0 [mm].
    """

    sheets: tuple[FlatSheet, ...]
    space: Mapping[int, Floats]

    @property
    def area_mm2(self) -> float:
        """Area of all pieces, holes left out [mm^2]."""
        return sum(_area(loop) for sheet in self.sheets for loop in sheet.loops)


def _area(loop: tuple[FlatLine, ...]) -> float:
    """Area within a loop, negative if it runs clockwise."""
    x, y = np.concatenate([line.xy[:-1] for line in loop]).T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def _line(edge: FlatEdge, sewn_to: tuple[str, ...]) -> FlatLine:
    """Plain arrays of a flat edge."""
    s = np.linspace(0.0, float(edge.s[-1]), 2 if edge.form is Form.LINE else _SAMPLES)
    return FlatLine(edge.key, edge.forward, s, edge.at(s), sewn_to)


def _partners(use: EdgeUse) -> tuple[str, ...]:
    """What goes on across an edge."""
    if use.role is EdgeRole.SEAM:
        return use.partners
    return (use.sheet,) if use.role is EdgeRole.FOLD else ()


def flat_room(outlines: Mapping[str, Outline], graph: SeamGraph, space: Mapping[int, ArrayLike]) -> FlatRoom:
    """Lay out the pieces of a room as plain arrays.

    Parameters
    ----------
    outlines : mapping of str to Outline
        Outline of each sheet by name, whole: not divided for the cloth's width. The cap is taken round, as it
        is cut; patches are left out.
    graph : SeamGraph
        What each edge is to each sheet.
    space : mapping of int to array_like (k, 3) float
        Points along each edge of the body by key, in the edge's own direction, evenly in its own parameter
        or its length [mm].

    Returns
    -------
    FlatRoom
        Pieces as `sewing.make_pattern` lays them: panels upright, so that the warp runs along y.

    Raises
    ------
    ParameterError
        If the course of an edge is missing, or does not join that of the next one.
    """
    sheets = []
    courses = {key: np.asarray(points, dtype=float) for key, points in space.items()}
    for name, outline in outlines.items():
        kind = graph.kinds[name]
        lying = placed(rounded(outline) if kind.role is Role.CAP else outline, kind, graph)
        loops = tuple(
            tuple(_line(edge, _partners(graph.use(name, edge.key))) for edge in loop.edges)
            for loop in lying.loops
        )
        folds = tuple(_line(fold.edge, (name,)) for fold in lying.folds)
        for loop in loops:
            _check_course(name, loop, courses)
        sheets.append(FlatSheet(name, kind, loops, folds))
    return FlatRoom(tuple(sheets), courses)


def _check_course(name: str, loop: tuple[FlatLine, ...], space: Mapping[int, Floats]) -> None:
    """The courses of a loop's lines join."""
    for before, line in zip((loop[-1], *loop[:-1]), loop, strict=True):
        for one in (before, line):
            if one.key not in space:
                raise ParameterError(
                    f"course of edge {one.key} of {name}", "missing", "given", "take whole sheets"
                )
        last, first = (
            space[before.key][-1 if before.forward else 0],
            space[line.key][0 if line.forward else -1],
        )
        gap = float(np.abs(last - first).max())
        if gap > TOLERANCES.seam_mismatch_mm:
            raise ParameterError(
                f"gap between edges {before.key} and {line.key} of {name} in space",
                f"{gap:g} mm",
                f"at most {TOLERANCES.seam_mismatch_mm:g} mm",
                "give each course in the edge's own direction",
            )
