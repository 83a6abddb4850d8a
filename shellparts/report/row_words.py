"""What is said of a row of stitches, in the words of the person at the machine."""

from shellparts.base.units import feet_inches, metric
from shellparts.parameters import Marking, Tape
from shellparts.sewing.rows import BACKSTITCHES, OVERLAP_MM, Row, RowEnd

__all__ = ["made_words", "remark"]


def made_words(row: Row) -> str:
    """The kind of a seam, or how an edge is finished, without underscores."""
    return row.made.replace("_", " ")


def remark(row: Row, marking: Marking) -> str:
    """Everything that is to be minded along a row.

    Parameters
    ----------
    row : Row
    marking : Marking
        Which tape lengths are told by.

    Returns
    -------
    str
        Clauses parted by semicolons.
    """
    tape = feet_inches if marking.tape is Tape.IMPERIAL else metric
    free = sum(one is not RowEnd.ON for one in (row.start, row.stop))
    back = f"{BACKSTITCHES} stitches back at "
    found = [f"{back}both ends" if free == 2 else f"{back}its free end"] if free else []
    if row.stop is RowEnd.ROUND:
        found = [f"all around, {tape(OVERLAP_MM)} over its beginning, {BACKSTITCHES} stitches back"]
    if row.made == "lapped":
        found.insert(0, "both outer sides up")
    if RowEnd.CORNER in (row.start, row.stop) and row.seam and row.stop is not RowEnd.ROUND:
        found.append("not a stitch into the allowance beyond the corner")
    if row.short_mm:
        found.append(
            f"leave {tape(row.short_mm)} beside the channel unsewn, so that the cord gets in and out"
        )
    if row.behind:
        found.append(f"this leaf hangs behind {row.behind}, seen from outside, where they overlap")
    if row.turns is not None and not row.turns.first_mm:
        found.append("turn in once")
    return "; ".join(found)
