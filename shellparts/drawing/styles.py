"""How the lines and texts of each layer look, in every format: the one table of them.

Widths and dashes are those at full size, in millimetres; small pages and large drawings take all of them by one
factor. A black and white print tells lines apart by width and dashes, so it needs no colour.
"""

from itertools import takewhile

from attrs import frozen

from shellparts.drawing.strokes import Layer

__all__ = [
    "ARRANGEMENT_LAYERS",
    "BOARD_LAYERS",
    "CLOTH_LAYERS",
    "LINE_NAMES",
    "SMALL_PENS",
    "STYLES",
    "Style",
]

#: Pens of pages that show things at 1 to 5 and smaller are finer by this factor [-].
SMALL_PENS = 0.4375


@frozen
class Style:
    """How one layer looks.

    Parameters
    ----------
    colour : str
        Of its lines and texts on a screen.
    width_mm : float
        Of its lines [mm].
    dashes : tuple of float
        Lengths of strokes and gaps in turn [mm]; none for an unbroken line.
    index : int
        Its colour in DXF.
    line_type : str
        The same dashes in DXF.
    grey : float
        Share of white in a black and white print, 0 for black.
    """

    colour: str
    width_mm: float
    dashes: tuple[float, ...] = ()
    index: int = 7
    line_type: str = "CONTINUOUS"
    grey: float = 0.0


_BLACK, _BLUE, _GREEN, _AMBER = "#1c1c1c", "#1f5fa8", "#2f8f4e", "#c07a1a"
_RED, _VIOLET, _BROWN, _GREY = "#c0392b", "#7a3ea8", "#8a5a2b", "#5a5a5a"
#: In the order in which they are drawn.
STYLES = {
    # Pieces of cloth, and cloth.
    Layer.CURVE: Style("#ecd9b8", 3.2, (), 52, grey=0.8),
    Layer.CUTTING: Style(_BLACK, 0.8),
    Layer.LATER: Style(_BLACK, 0.6, (4.0, 2.0), 7, "DASHED"),
    Layer.SEWING: Style(_BLUE, 0.3, (), 5),
    Layer.FINISHED: Style("#0f8a8a", 0.7, (14.0, 2.5), 4, "DASHED"),
    Layer.FOLD: Style(_GREEN, 0.4, (9.0, 4.0), 3, "DASHED"),
    Layer.OVERLAP: Style(_AMBER, 0.5, (0.8, 3.0), 30, "DASHED2"),
    Layer.NOTCH: Style(_VIOLET, 0.8, (), 1),
    Layer.CENTRE: Style("#8a8a8a", 0.25, (16.0, 3.0, 2.0, 3.0), 8, "CENTER"),
    Layer.PATCH: Style("#8e5aa0", 0.3, (5.0, 3.0), 6, "DASHED"),
    Layer.LOOP: Style("#8e5aa0", 0.7, (0.8, 2.0), 6, "DASHED2"),
    Layer.STRIP: Style("#8e5aa0", 0.3, (12.0, 2.0, 2.0, 2.0), 6, "CENTER"),
    Layer.HOLD: Style(_GREEN, 0.8, (), 3),
    Layer.ARROW: Style("#6a6a6a", 0.5, (), 8),
    Layer.CLIP: Style("#7a4a1e", 0.3, (), 34),
    Layer.NAME: Style(_BLACK, 0.4),
    Layer.EDGE: Style(_BLUE, 0.4, (), 5),
    Layer.STOCK: Style(_BLACK, 1.15),
    Layer.MARGIN: Style(_AMBER, 0.5, (4.5, 2.7), 30, "DASHED"),
    Layer.MEASURE: Style(_BROWN, 0.4, (), 5),
    Layer.POINT: Style(_RED, 0.4, (), 1),
    Layer.RULER: Style(_GREY, 0.45, (), 8),
    # Boards.
    Layer.SAW: Style(_BLACK, 0.8),
    Layer.SEWN: Style(_BLUE, 0.45, (3.6, 2.0), 5),
    Layer.FOLD_EDGE: Style(_GREEN, 1.6, (), 3, "DASHED"),
    Layer.REGISTER: Style(_RED, 0.9, (), 30, "DASHED2"),
    Layer.DRILL: Style(_BLUE, 0.45, (), 8, "CENTER"),
    Layer.PART: Style(_BLACK, 0.4),
    Layer.JOINT: Style(_RED, 0.4, (), 5),
    Layer.BOARD: Style(_BLACK, 1.15),
    Layer.BOARD_MARGIN: Style(_AMBER, 0.5, (4.5, 2.7), 30, "DASHED"),
    # Pages.
    Layer.WORDS: Style(_BLACK, 0.4),
    Layer.BAR: Style(_BLACK, 0.25),
    Layer.THIN: Style(_BLACK, 0.2),
    Layer.JOIN: Style(_GREY, 0.3, grey=0.45),
    Layer.LAP: Style(_GREY, 0.3, (0.4, 1.6), grey=0.3),
    # The room as it stands in its hall.
    Layer.CUT_THROUGH: Style(_BLACK, 1.3),
    Layer.SEEN: Style(_BLACK, 0.55),
    Layer.HIDDEN: Style(_GREY, 0.35, (2.6, 1.8), 8, "DASHED"),
    Layer.GROUND: Style(_BROWN, 0.9, (), 34),
    Layer.KEEP_FREE: Style(_GREEN, 0.55, (12.0, 3.0, 2.0, 3.0), 3, "CENTER"),
    Layer.FAN: Style(_BLUE, 0.6, (), 5),
    Layer.BALLAST: Style(_VIOLET, 0.6, (), 6),
    Layer.DIMENSION: Style(_BROWN, 0.3, (), 30),
    Layer.TOLD: Style(_BLACK, 0.35),
    # Sketches of steps.
    Layer.FIRST_EDGE: Style("#d1571b", 2.4),
    Layer.SECOND_EDGE: Style("#1b7f8c", 2.4, (4.0, 2.4)),
}
#: The layers of a file of cloth, and of one of boards.
CLOTH_LAYERS = tuple(takewhile(lambda layer: layer is not Layer.SAW, STYLES))
BOARD_LAYERS = (
    Layer.SAW,
    Layer.SEWN,
    Layer.FOLD_EDGE,
    Layer.REGISTER,
    Layer.NOTCH,
    Layer.DRILL,
    Layer.PART,
    Layer.JOINT,
    Layer.BOARD,
    Layer.BOARD_MARGIN,
    Layer.MEASURE,
    Layer.RULER,
)
#: The layers of a file that shows a room in its hall.
ARRANGEMENT_LAYERS = (
    Layer.CENTRE,
    Layer.CUT_THROUGH,
    Layer.SEEN,
    Layer.HIDDEN,
    Layer.GROUND,
    Layer.KEEP_FREE,
    Layer.FAN,
    Layer.BALLAST,
    Layer.DIMENSION,
    Layer.TOLD,
)
#: What each line is for, in the order of a legend.
LINE_NAMES = {
    Layer.CUTTING: "cut here",
    Layer.SEWING: "sew here",
    Layer.FINISHED: "finished edge: fold here and turn in; no seam runs here",
    Layer.NOTCH: "notch: a short tick between the two",
    Layer.FOLD: "fold",
    Layer.OVERLAP: "the other cloth overlaps up to here",
    Layer.CENTRE: "centre line",
    Layer.PATCH: "sew a patch or a tab on here",
    Layer.LOOP: "leave this end of the tab open: a cord goes through",
    Layer.STRIP: "a strip lies inside from the cutting line to here",
    Layer.HOLD: "a clip holds the open edge here",
    Layer.CLIP: "snip the allowance up to here, in the step that says so",
}
