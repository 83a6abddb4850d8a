"""The room from above: where each panel goes, which way round they are counted, which seam lies between two.

Glossary: a *place* is the sheet that stands there, by the name that is chalked on it. Panels are counted
counter-clockwise from the first doorway: to the right along the wall for someone who stands outside and faces it.
The page is A4 lying on its side, drawn at full size and shown small. This module works from design and pattern; it
knows no solids.
"""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from shellparts.drawing.labels import SMALL, LabelRoom
from shellparts.drawing.noted_page import NotedDrawing, NotedPage, fitting_scale
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.parameters import Design
from shellparts.parameters.opening import Tube
from shellparts.parameters.part import Role
from shellparts.pattern.made import Pattern

__all__ = ["places_page"]

Array = NDArray[np.float64]
#: Height of capitals on paper [mm]: of places and openings, of seams; the smaller ones where there is no room.
_PLACE_MM, _SEAM_MM = (3.2, 2.6, 2.2, 1.8), (2.4, 2.0, 1.8)
#: The cap is shown as large as this share of the floor's radius, and the count's arrow lies at this share of it.
_CAP, _ARROW = 0.16, 0.42
#: Paper left for the drawing, along and across [mm].
_ROOM_MM = (265.0, 165.0)


def _around(radius: float, turns: Array) -> Array:
    return radius * np.column_stack([np.cos(turns), np.sin(turns)])


def _footprint(tube: Tube) -> Array:
    """The four corners of a tube seen from above: from where it is surely inside the room to its outer end."""
    points = np.concatenate([part.at(np.linspace(part.first, part.last, 9)) for part in tube.section])
    left, right = float(points[:, 0].min()), float(points[:, 0].max())
    section = np.array([[left, 0.0], [left, 0.0], [right, 0.0], [right, 0.0]])
    return tube.lift(section, np.array([0.0, tube.end, tube.end, 0.0]))[:, :2]


def _names(pattern: Pattern, number: int) -> list[str]:
    """The sheets that stand at a panel's place, from below: one, or the parts that it is joined of."""
    first = f"panel_{number:02d}"
    sheets = (name for piece in pattern.pieces if piece.kind.role is Role.PANEL for name in piece.sheets)
    return sorted(name for name in sheets if name == first or name.startswith(f"{first}_"))


def _flaps(pattern: Pattern, panels: list[str]) -> list[str]:
    """The flaps that hang on some panels."""
    flaps = {name for piece in pattern.pieces if piece.kind.role is Role.FLAP for name in piece.sheets}
    found = {n for seam in pattern.seams if set(seam.sheets) & set(panels) for n in seam.sheets if n in flaps}
    return sorted(found)


def _between(pattern: Pattern, one: list[str], other: list[str]) -> list[str]:
    """Seams between the sheets of two places."""
    return [
        seam.id
        for seam in pattern.seams
        if set(seam.sheets) & set(one) and set(seam.sheets) & set(other) and seam.sheets[0] != seam.sheets[1]
    ]


def _count_arrow(radius: float, first: float) -> Iterator[Stroke]:
    """An arrow a third of the way round, the way panels are counted."""
    turns = first + np.linspace(0.15, 2.1, 40)
    yield stroke_of_points(Layer.ARROW, _around(radius, turns))
    for share in (0.93, 1.07):
        yield stroke_of_points(
            Layer.ARROW, np.vstack([_around(radius * share, turns[-4:-3]), _around(radius, turns[-1:])])
        )


def _beyond(foot: Array, ring: Array) -> Array:
    """The outline of what is seen of a tube from above; all of it where it leaves the room high up, over its floor."""
    whole = shapely.Polygon(foot)
    beyond = whole.difference(shapely.Polygon(ring))
    parts = shapely.get_parts(whole if beyond.is_empty else beyond)
    return np.asarray(max(parts, key=lambda part: float(part.area)).exterior.coords)


def places_page(design: Design, pattern: Pattern, room_mm: tuple[float, float] | None = None) -> NotedPage:
    """Draw the page of places.

    Parameters
    ----------
    design : Design
    pattern : Pattern
        Of the same design.
    room_mm : (float, float), optional
        Paper that the drawing fills, along and across, at any scale [mm]; a page of its own, at a usual scale, unless
        given.

    Returns
    -------
    NotedPage
        Every panel with its name, every seam between two panels with its id, openings, cap, and the way of counting.
    """
    plan, shell = design.plan, design.shell
    radius, middles = float(shell.seam.breaks[:, 0].max()), plan.azimuths
    seams = middles + shell.half_angle
    feet = [_footprint(tube) for tube in design.tubes]
    ring = _around(radius, seams)
    outside = [_beyond(foot, ring) for foot in feet]
    everything = np.concatenate([ring, *outside])
    low, high = everything.min(axis=0), everything.max(axis=0)
    size = high - low
    least = float((size / np.array(room_mm or _ROOM_MM)).max())
    scale = fitting_scale(least) if room_mm is None else least
    strokes = [stroke_of_points(Layer.CUTTING, ring, closed=True)]
    strokes += [stroke_of_points(Layer.CUTTING, points) for points in outside]
    cap = _CAP * radius
    strokes.append(
        stroke_of_points(Layer.CUTTING, _around(cap, np.linspace(0, 2 * math.pi, 49)[:-1]), closed=True)
    )
    strokes += [
        stroke_of_points(Layer.SEWING, [_around(cap, turn[None])[0], corner])
        for turn, corner in zip(seams, ring, strict=True)
    ]
    strokes += _count_arrow(_ARROW * radius, float(middles[0]))
    wanted: list[tuple[Layer, list[str], Array, tuple[float, ...]]] = []
    for opening, tube, points in zip(design.openings, design.tubes, outside, strict=True):
        at = np.asarray(shapely.Polygon(points).centroid.coords[0])
        lines = [tube.name, f"({opening.word})"] if opening.word != tube.name else [tube.name]
        wanted.append((Layer.NAME, lines, at, _PLACE_MM))
    wanted.append((Layer.NAME, ["cap"], np.zeros(2), _PLACE_MM))
    places = [_names(pattern, number) for number in range(1, shell.panels + 1)]
    for names, middle in zip(places, middles, strict=True):
        lines = [*names, *_flaps(pattern, names)]
        wanted.append((Layer.NAME, lines, _around(0.78 * radius, middle[None])[0], _PLACE_MM))
    for number, turn in enumerate(seams):
        ids = _between(pattern, places[number], places[(number + 1) % len(places)])
        if ids:
            wanted.append((Layer.EDGE, [" ".join(ids)], _around(0.6 * radius, turn[None])[0], _SEAM_MM))
    room = LabelRoom(shapely.box(*(low - 0.2 * radius), *(high + 0.2 * radius)), SMALL, strokes)
    labels: list[Label] = []
    lost: list[str] = []
    for layer, lines, at, sizes in wanted:
        found = _set(room, layer, lines, at, [size * scale for size in sizes], scale, strokes)
        labels += found
        lost += [] if found else [" ".join(lines)]
    first = f"{design.name}: where each piece goes, seen from above; drawn 1 to {scale:g}"
    second = (
        "Panels are counted the way of the arrow: to the right, standing outside and facing the wall; to the left, "
        "standing inside. Chalk each name on its piece."
    )
    drawn = NotedDrawing(
        Drawing(tuple(strokes), tuple(labels)).moved(-low), tuple(lost), "Without room on the drawing"
    )
    wide, tall = size.tolist()
    return NotedPage("places", (first, second), drawn, scale, 0.0, wide, tall)


def _set(
    room: LabelRoom,
    layer: Layer,
    lines: list[str],
    at: Array,
    heights: list[float],
    clear_mm: float,
    strokes: list[Stroke],
) -> list[Label]:
    """Lines of text at a place, or beside it with a leader, which is added to the strokes."""
    found = room.put(layer, lines, [(height, at, 0.0) for height in heights])
    if found:
        return found
    labels, leaders = room.point_out(layer, lines, at, heights, clear_mm, room.home)
    strokes += leaders
    return labels
