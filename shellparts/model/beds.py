"""Where the parts of a model lie on the printer's bed, and on how many beds."""

from collections.abc import Sequence

from attrs import frozen

from shellparts.model.printed import PrintedPart
from shellparts.parameters.printer import Printer

__all__ = ["BedPlace", "on_beds"]

#: Between two parts [mm]: a nozzle passes.
_APART_MM = 6.0


@frozen
class BedPlace:
    """Where a part lies.

    Parameters
    ----------
    bed : int
        Number of its bed, from 0.
    x, y : float
        Middle of the part from the bed's corner [mm].
    turned : bool
        Whether it is turned by a quarter.
    """

    bed: int
    x: float
    y: float
    turned: bool


def on_beds(parts: Sequence[PrintedPart], printer: Printer) -> tuple[BedPlace, ...]:
    """Lay parts on beds in rows, the deepest first.

    Parameters
    ----------
    parts : sequence of PrintedPart
        Each fits the printer.
    printer : Printer

    Returns
    -------
    tuple of BedPlace
        One a part, in their order.
    """
    width, depth, _ = printer.usable_mm
    sizes = []
    for part in parts:
        x, y, _ = part.size_mm
        turned = x > width or y > depth
        sizes.append((y, x, True) if turned else (x, y, False))
    places: dict[int, BedPlace] = {}
    bed, left, low, row = 0, 0.0, 0.0, 0.0
    for number in sorted(range(len(parts)), key=lambda n: (-sizes[n][1], n)):
        wide, deep, turned = sizes[number]
        if left > 0.0 and left + wide > width:
            left, low, row = 0.0, low + row + _APART_MM, 0.0
        if low + deep > depth and (low > 0.0 or left > 0.0):
            bed, left, low, row = bed + 1, 0.0, 0.0, 0.0
        middle = left + wide / 2.0, low + deep / 2.0
        places[number] = BedPlace(bed, printer.margin + middle[0], printer.margin + middle[1], turned)
        left, row = left + wide + _APART_MM, max(row, deep)
    return tuple(places[number] for number in range(len(parts)))
