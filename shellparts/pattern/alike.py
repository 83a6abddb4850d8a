"""Sheets that are cut alike: found by laying their outlines on each other, as they are and turned over."""

from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.unroll.outline import Outline

__all__ = ["PieceClass", "classes_of"]

Array = NDArray[np.float64]
_SHARES = np.array([0.0, 0.25, 0.5, 0.75])


@frozen(eq=False)
class PieceClass:
    """Sheets that are cut from one template: their names, and the class that this one mirrors, by index."""

    sheets: tuple[str, ...]
    mirror_of: int | None = None


@frozen(eq=False)
class _Shape:
    """Points and roles along the loops of a placed outline."""

    loops: tuple[tuple[Array, tuple[object, ...]], ...]

    @classmethod
    def of(cls, outline: Outline, roles: Mapping[int, object]) -> "_Shape":
        loops = []
        for loop in outline.loops:
            points = np.stack([edge.at(_SHARES * edge.length_mm) for edge in loop.edges])
            loops.append((points, tuple(roles[edge.key] for edge in loop.edges)))
        return cls(tuple(loops))

    def fits(self, other: "_Shape") -> bool:
        return len(self.loops) == len(other.loops) and all(map(_fits, self.loops, other.loops))


def _fits(a: tuple[Array, tuple[object, ...]], b: tuple[Array, tuple[object, ...]]) -> bool:
    (p, roles_a), (q, roles_b) = a, b
    n = len(q)
    orders = [[(i + shift) % n for i in range(n)] for shift in range(n)] if len(p) == n else []
    return any(
        tuple(roles_b[i] for i in order) == roles_a and np.abs(p - q[order]).max() <= TOLERANCES.same_piece_mm
        for order in orders
    )


def classes_of(
    outlines: Mapping[str, Outline], roles: Mapping[str, Mapping[int, object]], groups: Mapping[str, object]
) -> list[PieceClass]:
    """Group sheets into classes that are cut alike; edges must agree in `roles`, sheets in `groups`."""
    shapes: list[tuple[_Shape, _Shape, object]] = []
    members: list[list[str]] = []
    mirrors: list[int | None] = []
    for name, outline in outlines.items():
        shape = _Shape.of(outline, roles[name])
        home, mirror = _find(shape, groups[name], shapes)
        if home is not None:
            members[home].append(name)
            continue
        shapes.append((shape, _Shape.of(outline.mirrored(), roles[name]), groups[name]))
        members.append([name])
        mirrors.append(mirror)
    return [PieceClass(tuple(names), mirror) for names, mirror in zip(members, mirrors, strict=True)]


def _find(
    shape: _Shape, group: object, known: Sequence[tuple[_Shape, _Shape, object]]
) -> tuple[int | None, int | None]:
    """Index of the class that a shape belongs to, and of the class that it mirrors."""
    mirror = None
    for index, (plain, turned, other) in enumerate(known):
        if other != group:
            continue
        if plain.fits(shape):
            return index, None
        if mirror is None and turned.fits(shape):
            mirror = index
    return None, mirror
