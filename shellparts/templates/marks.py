"""Register marks and joining strips: what makes two parts of a template go together in one way only.

Glossary: as in `parts`; the *spacings* of a joint are the distances from each of its register marks to
the next. They read differently from either end, and differ from those of every other joint of the template,
so that neither a part turned about nor another part can be made to match. This module decides no joint.
"""

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.parameters.boards import Boards
from shellparts.templates.joints import Divided, free_span
from shellparts.templates.parts import BoardJoint, JoiningStrip

__all__ = ["TICK_MM", "joint_letters", "marked_joints", "tick_on"]

Array = NDArray[np.float64]
#: Length of a register mark on either side of its joint [mm].
TICK_MM = 25.0
#: Marks lie on twelfths of the joint.
_SLOTS = 12
#: Spacings that differ by less than this are taken for each other [mm]; less on joints shorter than 100 mm.
_APART_MM = 8.0
#: A strip ends so far from the edge, so that a pencil can pass, or a quarter of what room there is [mm].
_INSET_MM = 20.0
#: A shorter strip holds nothing [mm].
_SHORTEST_STRIP_MM = 15.0


def joint_letters() -> Iterator[str]:
    """Letters of joints: A to Z without I and O, which look like figures, then AA, AB and so on.

    Examples
    --------
    >>> import itertools
    >>> " ".join(itertools.islice(joint_letters(), 7, 26))
    'H J K L M N P Q R S T U V W X Y Z AA AB'
    """
    alphabet = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    for length in itertools.count(1):
        yield from ("".join(word) for word in itertools.product(alphabet, repeat=length))


def _codes() -> Iterator[tuple[int, ...]]:
    """Twelfths of a joint to be marked, few marks first, and of these the widest apart."""
    for many in range(3, _SLOTS - 1):
        found = itertools.combinations(range(1, _SLOTS), many)
        yield from sorted(found, key=lambda code: (-min(_spacings((0, *code, _SLOTS))), code))


def _spacings(places: Sequence[float]) -> tuple[float, ...]:
    return tuple(b - a for a, b in itertools.pairwise(places))


def _unlike(mine: Sequence[float], other: Sequence[float], apart: float) -> bool:
    """Whether spacings cannot be taken for others read in the same direction."""
    if len(mine) != len(other):
        return True
    return max(abs(a - b) for a, b in zip(mine, other, strict=True)) >= apart


def _marks(length: float, given: Sequence[tuple[float, tuple[float, ...]]]) -> tuple[float, ...]:
    """Places of the marks of a joint whose spacings nothing given is like."""
    for code in _codes():
        places = tuple(length * slot / _SLOTS for slot in code)
        mine = _spacings(places)
        back = mine[::-1]
        own = min(_APART_MM, 0.9 * length / _SLOTS)
        if not _unlike(mine, back, own):
            continue
        apart = [min(own, 0.9 * other / _SLOTS) for other, _ in given]
        if all(
            _unlike(mine, spacings, least) and _unlike(back, spacings, least)
            for (_, spacings), least in zip(given, apart, strict=True)
        ):
            return places
    raise GeometryError(
        f"no register marks are left for a joint of {length:.0f} mm: the template has too many joints"
    )


def _strip(joint: tuple[int, int, Array], free: shapely.Geometry, width_mm: float) -> Array | None:
    """Corners of the strip over a joint, as long as there is room for; None where there is none."""
    ends = joint[2]
    level = abs(ends[1, 0] - ends[0, 0]) >= abs(ends[1, 1] - ends[0, 1])
    line = ends if level else ends[:, ::-1]
    if not level:
        free = shapely.transform(free, lambda points: points[:, ::-1])
    y = float(line[0, 1])
    low, high = free_span(free, (float(line[0, 0]), float(line[1, 0])), y, width_mm)
    inset = min(_INSET_MM, (high - low) / 4.0)
    if high - low - 2.0 * inset < _SHORTEST_STRIP_MM:
        return None
    box = shapely.box(low + inset, y - width_mm / 2.0, high - inset, y + width_mm / 2.0, ccw=level)
    corners = np.asarray(box.exterior.coords)[:-1]
    return corners if level else corners[:, ::-1]


def marked_joints(
    found: Divided, shape: shapely.Polygon, boards: Boards, letters: Iterator[str]
) -> tuple[BoardJoint, ...]:
    """Give every joint of a template its letter, register marks and strip; more joints than marks are refused."""
    given: list[tuple[float, tuple[float, ...]]] = []
    joints: list[BoardJoint] = []
    strips: list[shapely.Polygon] = []
    for joint in sorted(found.joints, key=lambda one: one[2][1][0] - one[2][0][0] == 0.0):  # level ones first
        ends = joint[2]
        length = float(np.linalg.norm(ends[1] - ends[0]))
        marks = _marks(length, given)
        given.append((length, _spacings(marks)))
        letter = next(letters)
        corners = _strip(joint, shape.difference(shapely.union_all(strips)), boards.strip)
        strip = None
        if corners is not None:
            strips.append(shapely.Polygon(corners))
            strip = JoiningStrip(f"strip {letter}", corners)
        joints.append(BoardJoint(letter, (joint[0], joint[1]), ends, marks, strip))
    return tuple(joints)


def tick_on(part: shapely.Polygon, joint: BoardJoint, mark: Array) -> Array:
    """One part's half of a register mark, from the joint inward, at most `TICK_MM` long, (2, 2) [mm]."""
    along = (joint.ends[1] - joint.ends[0]) / joint.length_mm
    square = np.array([-along[1], along[0]])
    inward = square if part.contains(shapely.Point(mark + 0.01 * square)) else -square
    inside = shapely.LineString([mark, mark + TICK_MM * inward]).intersection(part)
    lines = [line for line in shapely.get_parts(inside) if line.geom_type == "LineString"]
    reach = min(lines, key=lambda line: line.distance(shapely.Point(mark)), default=None)
    return np.array([mark, mark + inward * (0.0 if reach is None else reach.length)])
