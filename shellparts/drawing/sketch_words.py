"""Words of a sketch: names in or beside their pieces, and short texts beside the points that they belong to.

Glossary: a *title* is the name of a piece, one or two lines; what is *pointed* stands beside its point, off the cloth
if there is room, and else has a leader. No text covers a line or another text.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.drawing.labels import PRINTED, LabelRoom
from shellparts.drawing.labels import Place as Spot
from shellparts.drawing.letters import text_width
from shellparts.drawing.strokes import Drawing, Label, Layer, Stroke

__all__ = ["Pointed", "Title", "with_words"]

Array = NDArray[np.float64]
#: Heights of capitals, the best first, paper around the sketch that texts may use, and between a line and a text [mm].
_TITLE_MM, _TEXT_MM, _AROUND_MM, _CLEAR_MM = (2.4, 2.1, 1.9), (2.0, 1.8), (30.0, 12.0), 1.0
#: How far from its point a text may stand without a leader [mm].
_NEAR_MM = (0.0, 1.0, 2.0)
#: Clear of the wide lines of edges, and wide enough for bold letters.
_LETTERS = evolve(PRINTED, width=lambda text: text_width(text, 1.0, True) + 0.9, tall=2.1)


@frozen(eq=False)
class Pointed:
    """A text, its point, and the direction in which it best stands; zeros for any."""

    layer: Layer
    text: str
    at: Array
    off: Array


@frozen(eq=False)
class Title:
    """Lines of text that belong to a shape, in one or more ways of breaking them, the best first."""

    ways: tuple[tuple[str, ...], ...]
    shape: shapely.Geometry


def _inside(title: Title) -> Iterator[Spot]:
    """Where a title may stand in its own shape: in its roomiest place, then on a grid."""
    home = shapely.maximum_inscribed_circle(title.shape, tolerance=0.5)
    low, high = np.array(title.shape.bounds).reshape(2, 2)
    grid = np.stack(np.meshgrid(*np.linspace(low, high, 15).T), axis=-1).reshape(-1, 2)
    middle = np.asarray(home.coords[0])
    grid = grid[np.argsort(np.linalg.norm(grid - middle, axis=1).round(6), kind="stable")]
    for height in _TITLE_MM:
        yield from ((height, at, 0.0) for at in (middle, *grid))


def _beside(room: LabelRoom, one: Pointed) -> Iterator[Spot]:
    """Where a text may stand near its point: off the cloth, then aside, then on the cloth."""
    if not one.off.any():
        return
    along = np.array([-one.off[1], one.off[0]])
    for height in _TEXT_MM:
        half = room.letters.size([one.text]) * height / 2.0
        for off in (one.off, -one.off):
            reach = float(np.abs(off) @ half) + _CLEAR_MM
            for more in _NEAR_MM:
                for aside in (0.0, 1.0, -1.0):
                    shift = aside * float(np.abs(along) @ half) * along
                    yield height, one.at + (reach + more) * off + shift, 0.0


def with_words(strokes: tuple[Stroke, ...], titles: Sequence[Title], pointed: Sequence[Pointed]) -> Drawing:
    """Strokes with their words.

    Parameters
    ----------
    strokes : tuple of Stroke
        On paper [mm].
    titles : sequence of Title
    pointed : sequence of Pointed

    Returns
    -------
    Drawing
        Strokes, leaders and labels. Words that find no room anywhere stand below the sketch.
    """
    plain = Drawing(strokes, ())
    low, high = plain.box
    low, high = low - _AROUND_MM, high + _AROUND_MM
    everywhere = shapely.box(*low, *high)
    room = LabelRoom(everywhere, _LETTERS, strokes)
    shapes = shapely.union_all([title.shape for title in titles])
    labels: list[Label] = []
    leaders: list[Stroke] = []
    for title in titles:
        found: list[Label] = []
        for lines in title.ways:
            found = found or room.put(Layer.NAME, lines, _inside(title), title.shape)
        if not found:
            at = np.asarray(title.shape.centroid.coords[0])
            found, aside = room.point_out(
                Layer.NAME, title.ways[-1], at, _TITLE_MM, _CLEAR_MM, title.shape, shapes
            )
            leaders += aside
        labels += [evolve(label, bold=k == 0) for k, label in enumerate(found)]
    below = float(low[1])
    for one in pointed:
        found = room.put(one.layer, [one.text], _beside(room, one))
        if not found:
            found, aside = room.point_out(one.layer, [one.text], one.at, _TEXT_MM, 2.0, everywhere)
            leaders += aside
        if not found:
            below -= 2.0 * _TEXT_MM[0]
            found = [Label(one.layer, one.text, np.array([(low[0] + high[0]) / 2.0, below]), _TEXT_MM[0])]
        labels += found
    thin = tuple(evolve(line, layer=Layer.THIN) for line in leaders)
    return Drawing((*strokes, *thin), tuple(labels))
