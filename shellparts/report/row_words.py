"""What is said of a row of stitches, in the words of the person at the machine; book and table say the same."""

from collections.abc import Sequence

from shellparts.parameters import Marking
from shellparts.sewing.rows import BACKSTITCHES, OVERLAP_MM, Row, RowEnd

__all__ = ["backstitched", "from_to", "how_made", "made_words", "minded", "remark", "run_words"]

_GOES_ON = (RowEnd.FROM, RowEnd.ON)
_BACK = f"{BACKSTITCHES} stitches back"


def made_words(row: Row) -> str:
    """The kind of a seam, or how an edge is finished, without underscores."""
    return row.made.replace("_", " ")


def how_made(row: Row, marking: Marking) -> str:
    """How a row is made, which cloth lies on top, how a hem is turned in."""
    words = made_words(row)
    if row.on_top is not None:
        which = "first" if row.on_top == row.edges[0] else "second"
        lies = (
            f"the {which} edge lies on top, seen from outside"
            if row.made == "lapped"
            else f"both allowances are turned towards the {which} edge\u2019s "
            + ("piece" if row.edges[0][0] != row.edges[1][0] else "side")
        )
        words += f"; {lies}"
    if row.turns is not None:
        turns = [marking.length(one) for one in (row.turns.first_mm, row.turns.second_mm) if one]
        words += (
            f"; turn in {', then '.join(turns)}; the row runs {marking.length(row.turns.row_mm)} from the "
            "finished edge"
        )
    return words


def _end(row: Row, end: RowEnd, edge: str) -> str:
    if end in (*_GOES_ON, RowEnd.ANY, RowEnd.ROUND):
        return end.value
    own = " " not in edge and len({sheet for sheet, _ in row.edges}) == 2
    return f"{end.value} at {edge}{' of the first piece' * own}"


def from_to(row: Row) -> str:
    """From where to where a row runs."""
    if row.start is RowEnd.ANY:
        return f"all around, from {RowEnd.ANY.value}, and over its beginning"
    start, stop = _end(row, row.start, row.start_at), _end(row, row.stop, row.stop_at)
    return (
        f"{'' if row.start is RowEnd.FROM else 'from '}{start}; "
        f"{'' if row.stop in (RowEnd.ON, RowEnd.ROUND) else 'to '}{stop}"
    )


def run_words(rows: Sequence[Row], marking: Marking) -> str:
    """What is said of several rows that are one run.

    Parameters
    ----------
    rows : sequence of Row
        In their order.
    marking : Marking
        Which tape lengths are told by.
    """
    go = "one run through all rows of the table in their order, at each corner needle down and turn"
    if rows[-1].stop is RowEnd.ROUND:
        return f"{go}; all around, {marking.length(OVERLAP_MM)} over its beginning, {_BACK}"
    start, stop = rows[0], rows[-1]
    where = [
        f"{end.value} at {edge if ' ' in edge else f'{row.edges[0][0]} {edge}'}"
        for end, row, edge in ((start.start, start, start.start_at), (stop.stop, stop, stop.stop_at))
    ]
    return f"{go}; from {where[0]} to {where[1]}; {_BACK} at both ends of the run"


def backstitched(row: Row, marking: Marking) -> str:
    """Where a row is sewn back."""
    if row.stop is RowEnd.ROUND:
        around = "all around, " if row.start is RowEnd.ANY else ""
        return f"{around}{marking.length(OVERLAP_MM)} over its beginning, {_BACK}"
    free = [
        word
        for word, end in (("start", row.start), ("stop", row.stop))
        if end not in (*_GOES_ON, RowEnd.RING)
    ]
    if not free:
        return ""
    return f"{_BACK} at {'both ends' if len(free) == 2 else f'its {free[0]}'}"


def minded(row: Row, marking: Marking) -> list[str]:
    """Everything else that is to be minded along a row."""
    found = ["both outer sides up"] if row.made == "lapped" else []
    if RowEnd.CORNER in (row.start, row.stop) and row.seam:
        found.append("not a stitch into the allowance beyond the corner")
    if row.short_mm:
        leave = marking.length(row.short_mm)
        found.append(f"leave {leave} beside the channel unsewn, so that the cord gets in and out")
    if row.behind:
        found.append(f"this one hangs behind {row.behind}, seen from outside, where they overlap")
        if row.made != "lapped":
            found.append(
                f"lay its outer side on the inner side of {row.behind} there, and then turn all allowances"
            )
    if row.waits_for and row.made != "lapped":
        found.append(f"turn the allowances only when {row.waits_for} is sewn on too")
    if row.turns is not None and not row.turns.first_mm:
        found.append("turn in once")
    return found


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
    return "; ".join(one for one in (backstitched(row, marking), *minded(row, marking)) if one)
