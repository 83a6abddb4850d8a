"""The pages on which a room stands in its hall, and the same drawing true to size for CAD.

Glossary: the *facts* are lines of words beside the views; the *foot* of a page tells room, scale, units and what the
drawing is of, with a bar to measure. Pages lie on their sides: all views on one of A3 or tabloid, on two of A4 or
letter, at the largest usual scale for which there is room. A roll takes A3 where it is wide enough.
"""

import itertools
import math
import textwrap
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.base.counted import counted
from shellparts.drawing.arrangement import ArrangedView, arranged
from shellparts.drawing.dimensions import Dimension
from shellparts.drawing.hall import RoomInHall, free_floor, section_box
from shellparts.drawing.letters import text_width
from shellparts.drawing.paper import MARGIN_MM
from shellparts.drawing.printed import Page, Shown, line, words
from shellparts.drawing.sightlines import View, strokes_seen
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke, stroke_of_points
from shellparts.drawing.tape import board_tape, unbroken
from shellparts.parameters import Paper, Tape

__all__ = ["Arrangement", "arrangement_pages"]

Array = NDArray[np.float64]

#: Height of capitals on paper, and from line to line of the facts [mm].
_TEXT_MM, _LINE_MM = 2.5, 4.6
_FOOT_MM, _FACTS_MM, _GAP_MM = 20.0, 66.0, 7.0
#: Pages lying on their sides: width and height [mm], and the views of each page in the order of reading.
_LARGE, _SMALL = (
    ((View.PLAN, View.SECTION, View.FRONT, View.SIDE),),
    ((View.PLAN,), (View.FRONT, View.SIDE, View.SECTION)),
)
_PAGES = {
    Paper.A3: (420.0, 297.0, _LARGE),
    Paper.TABLOID: (431.8, 279.4, _LARGE),
    Paper.A4: (297.0, 210.0, _SMALL),
    Paper.LETTER: (279.4, 215.9, _SMALL),
}
#: Usual scales by tape: on a metric one round numbers, beside an inch tape such that inches stand for feet.
_SCALES = {
    Tape.METRIC: (10, 20, 25, 30, 40, 50, 60, 75, 80, 100, 120, 125, 150, 200, 250, 300, 400, 500),
    Tape.IMPERIAL: (12, 16, 24, 32, 48, 64, 72, 96, 120, 128, 144, 192, 240, 288, 384, 480),
}
#: Pens of a page, as a share of those at full size.
_PENS = 0.55
#: From view to view in the drawing true to size, per height of capitals.
_APART = 8.0


@frozen(eq=False)
class Arrangement:
    """A room in its hall.

    Parameters
    ----------
    pages : tuple of Page
        To print.
    drawing : Drawing
        All views true to size, the side under the plan, the front beside it, without dimensions [mm].
    dimensions : tuple of Dimension
        Those of `drawing`.
    """

    pages: tuple[Page, ...]
    drawing: Drawing
    dimensions: tuple[Dimension, ...]


def arrangement_pages(hall: RoomInHall) -> Arrangement:
    """Draw a room in its hall.

    Parameters
    ----------
    hall : RoomInHall

    Returns
    -------
    Arrangement
    """
    seen = {view: strokes_seen(hall.design, hall.courses, hall.edges, view) for view in View}
    wide, high, order = _PAGES[_paper(hall)]
    facts = _facts_beside(_facts(hall), wide, high)
    room = wide - 2 * MARGIN_MM, high - 2 * MARGIN_MM - _FOOT_MM
    pages, letters = [], 0.0
    for number, some in enumerate(order, 1):
        beside = facts if number == 1 else Drawing()
        scale, places = _fitted(hall, {view: seen[view] for view in some}, room, number == 1)
        letters = letters or _TEXT_MM * scale
        shown = [Shown(view.whole.moved(corner, 1 / scale), pens=_PENS) for view, corner in places]
        sheet = _foot(hall, wide, scale, (number, len(order))) + beside
        pages.append(Page(wide, high, (*shown, Shown(sheet))))
    views = {view: arranged(hall, view, seen[view], letters) for view in View}
    drawing, dimensions = _true_size(views, hall, letters)
    return Arrangement(tuple(pages), drawing, dimensions)


def _fitted(
    hall: RoomInHall, seen: Mapping[View, Sequence[Stroke]], room: tuple[float, float], facts: bool
) -> tuple[float, list[tuple[ArrangedView, Array]]]:
    """The largest usual scale at which some views have room on a page, and where they lie on it."""
    sizes = np.array([np.ptp(Drawing(tuple(strokes)).box, axis=0) for strokes in seen.values()])
    if View.PLAN in seen:
        sizes = np.maximum(sizes, np.ptp(free_floor(hall), axis=0))
    wide = room[0] - (_FACTS_MM if facts else 0.0)
    # Smaller than either they cannot be, whatever is written on them.
    least = max(sizes[:, 0].max() / wide, math.sqrt(sizes.prod(axis=1).sum() / wide / room[1]))
    scales = (float(scale) for scale in _SCALES[hall.design.marking.tape] if scale >= least)
    for scale in itertools.chain(scales, itertools.count(math.ceil(max(500.0, least)), 100.0)):
        views = [arranged(hall, view, strokes, _TEXT_MM * scale) for view, strokes in seen.items()]
        places = _on_page(views, scale, room, facts)
        if places is not None:
            return scale, places
    raise AssertionError("a page holds everything at some scale")


def _paper(hall: RoomInHall) -> Paper:
    """The paper that the workshop prints on; of a roll as much as A3 where it is wide enough."""
    printing, tape = hall.design.printing, hall.design.marking.tape
    paper = printing.paper_beside(tape)
    if paper is Paper.ROLL:
        return Paper.A3 if (printing.roll_width or 0.0) >= _PAGES[Paper.A3][1] else Paper.A4
    return paper


def _on_page(
    views: Sequence[ArrangedView], scale: float, room: tuple[float, float], facts: bool
) -> list[tuple[ArrangedView, Array]] | None:
    """Views in rows from the upper left, and by how much each is moved on paper [mm]; None where they have no room."""
    wide, high = room[0] - (_FACTS_MM if facts else 0.0), room[1]
    boxes = [(view, view.box[0] / scale, view.box[1] / scale) for view in views]
    rows: list[list[tuple[ArrangedView, Array, Array]]] = [[]]
    for box in boxes:
        taken = sum(float(top[0] - low[0]) + _GAP_MM for _, low, top in rows[-1])
        if rows[-1] and taken + float(box[2][0] - box[1][0]) > wide:
            rows.append([])
        rows[-1].append(box)
    heights = [max(float(top[1] - low[1]) for _, low, top in row) for row in rows]
    widths = [sum(float(top[0] - low[0]) for _, low, top in row) + _GAP_MM * (len(row) - 1) for row in rows]
    spare = high - sum(heights)
    if max(widths) > wide or spare < _GAP_MM * (len(rows) - 1):
        return None
    found, level = [], MARGIN_MM + _FOOT_MM + high
    for row, tall, long in zip(rows, heights, widths, strict=True):
        level -= tall + spare / (len(rows) + 1)
        x = MARGIN_MM + (wide - long) / (len(row) + 1)
        for view, low, top in row:
            found.append((view, np.array([x, level]) - low))
            x += float(top[0] - low[0]) + _GAP_MM + (wide - long) / (len(row) + 1)
    return found


def _facts(hall: RoomInHall) -> Iterator[str]:
    """What the keeper of a hall asks, a paragraph each; one that begins a part ends in a colon."""
    design = hall.design

    def tell(length_mm: float) -> str:
        return unbroken(board_tape(length_mm, design.marking))

    size = np.ptp(free_floor(hall), axis=0)
    top = float(design.shell.mid.top[1])
    yield "Floor and height:"
    around = tell(hall.spare_mm)
    yield f"Keep a floor of {tell(size[0])} by {tell(size[1])} free: the room, its fan, and {around} all round."
    yield f"The room as sewn is {tell(top)} high and {tell(2 * design.shell.seam.breaks[0, 0])} across its corners."
    if hall.under_air is not None:
        high, across = hall.under_air
        yield f"Under air it is about {tell(high)} high and {tell(across)} across at its widest."
    yield "Openings:"
    for opening, tube in hall.openings:
        way, name = opening.way_out, tube.name.replace("_", " ")
        place = f"{'seam' if opening.on_seam else 'panel'} {opening.number(design.plan)}"
        if way is not None:
            yield (
                f"{name}, a way out, at {place}: clear {tell(way.width)} wide and {tell(way.height)} high, "
                f"{tell(way.length)} long."
            )
        else:
            low, up = section_box(tube)
            size = up - low
            yield (
                f"{name} at {place}: {tell(size[0])} by {tell(size[1])}, its middle {tell(float(tube.origin[2]))} "
                f"over the floor" + (", to the fan." if tube.part.drawn else ".")
            )
    yield "Ballast:"
    if hall.bags is None:
        yield "Not known without a fan and a way out."
    elif not hall.bags[0]:
        yield "None is asked for."
    else:
        count, each = hall.bags
        bags = design.marking.told(f"{counted(count + hall.tunnel_bags, 'bag')} of {each:g} kg")
        yield f"{bags} inside, on the cloth on the floor against the wall, where the squares are."
        if hall.tunnel_bags:
            yield f"{hall.tunnel_bags} of them, long and narrow, along the tunnel's walls: people walk between them."
    if any(tube.part.drawn for _, tube in hall.openings):
        yield "Fan:"
        yield "Drawn as wide as its sleeve; measure yours. Nothing may stand where it draws its air."
    yield "Lines:"
    yield "Broken: behind cloth. Panels are counted from above, counter-clockwise from the first doorway."


def _facts_beside(facts: Iterator[str], wide: float, high: float) -> Drawing:
    """The facts in a column on the right."""
    x, y = wide - MARGIN_MM - _FACTS_MM + 4.0, high - MARGIN_MM - 2.0
    rule = line(Layer.THIN, x - 4.0, MARGIN_MM + _FOOT_MM, x - 4.0, high - MARGIN_MM)
    letters = int((_FACTS_MM - 4.0) / text_width("average words, as they come", _TEXT_MM) * 27)
    labels: list[Label] = []
    for fact in facts:
        is_head = fact.endswith(":")
        y -= 0.35 * _LINE_MM if is_head else 0.0
        for row in textwrap.wrap(fact, letters):
            y -= _LINE_MM
            labels.append(words(row, x, y, _TEXT_MM, bold=is_head, room_mm=_FACTS_MM - 4.0))
        y -= 0.0 if is_head else 0.25 * _LINE_MM
    return Drawing((rule,), tuple(labels))


def _foot(hall: RoomInHall, wide: float, scale: float, page: tuple[int, int]) -> Drawing:
    """Room, scale, units, and a bar to measure, along the lower edge."""
    design = hall.design
    left, right, low = MARGIN_MM, wide - MARGIN_MM, MARGIN_MM
    strokes = [line(Layer.BAR, left, low + _FOOT_MM - 4.0, right, low + _FOOT_MM - 4.0)]
    inch = design.marking.tape is Tape.IMPERIAL
    units = "feet and inches" if inch else "millimetres"
    half = (right - left) / 2
    labels = [
        words(design.name.replace("_", " "), left, low + 9.0, 4.0, bold=True, room_mm=half - 6.0),
        words(design.title, left, low + 2.0, _TEXT_MM, room_mm=half - 6.0),
        words(f"In its hall, 1 to {scale:g}, in {units}, sizes as sewn", left + half, low + 9.5, _TEXT_MM),
    ]
    x, many, one = left + half, 4, 304.8 if inch else 1000.0
    step = next(n * one for n in (5.0, 2.0, 1.0, 0.5, 0.1) if many * n * one / scale <= half - 12.0)
    for k in range(many):
        a, b = x + k * step / scale, x + (k + 1) * step / scale
        corners = [(a, low + 3.2), (b, low + 3.2), (b, low + 4.8), (a, low + 4.8)]
        strokes.append(stroke_of_points(Layer.BAR, corners, closed=True))
        if k % 2 == 0:
            strokes += [line(Layer.BAR, a, low + y, b, low + y) for y in (3.6, 4.0, 4.4)]
    for k in (0, many):
        told = f"{k * step / one:g}"
        labels.append(words(told, x + k * step / scale, low - 0.8, _TEXT_MM, align=0.5))
    unit = "ft" if inch else "m"
    labels.append(words(unit, x + many * step / scale + 5.0, low - 0.8, _TEXT_MM))
    labels.append(words(f"page {page[0]} of {page[1]}", right, low + 9.5, _TEXT_MM, align=1.0))
    return Drawing(tuple(strokes), tuple(labels))


def _true_size(
    views: Mapping[View, ArrangedView], hall: RoomInHall, letters: float
) -> tuple[Drawing, tuple[Dimension, ...]]:
    """All views on one sheet: the side below the plan, the section below it, the front to the left of the side."""
    apart = _APART * letters
    boxes = {view: one.box for view, one in views.items()}
    side = boxes[View.PLAN][0][1] - apart - boxes[View.SIDE][1][1]
    section = side + boxes[View.SIDE][0][1] - apart - boxes[View.SECTION][1][1]
    front = (
        min(boxes[one][0][0] for one in (View.PLAN, View.SIDE, View.SECTION))
        - apart
        - boxes[View.FRONT][1][0]
    )
    places = {
        View.PLAN: np.zeros(2),
        View.SIDE: np.array([0.0, side]),
        View.SECTION: np.array([0.0, section]),
        View.FRONT: np.array([front, side]),
    }
    drawing = Drawing()
    dimensions: list[Dimension] = []
    for view, place in places.items():
        drawing += views[view].drawing.moved(place)
        dimensions += [one.moved(place) for one in views[view].dimensions]
    name = f"{hall.design.name.replace('_', ' ')}, in its hall, true to size, drawn in mm"
    corner = np.array([front + boxes[View.FRONT][0][0], boxes[View.PLAN][1][1] + 4.0 * letters])
    label = Label(Layer.TOLD, name, corner, 2.0 * letters, align=0.0, bold=True)
    return drawing + Drawing((), (label,)), tuple(dimensions)
