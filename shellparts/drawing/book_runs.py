"""Rows of one step that are sewn in one go: seams that meet at corners, ordered so that the needle never leaves them.

Glossary: a *run* goes along consecutive edges of one sheet, through all seams of a step, from its one free end to the
other; one that is *closed* goes all around and ends over its beginning.
"""

from collections.abc import Mapping, Sequence

from attrs import frozen

from shellparts.sewing.bundle import Place, SewingGraph
from shellparts.sewing.rows import BACKSTITCHES, Row, RowEnd

__all__ = ["SeamRun", "run_of"]


@frozen
class SeamRun:
    """Rows that are sewn as one.

    Parameters
    ----------
    rows : tuple of Row
        As the needle goes.
    ends : tuple of str
        Where it starts and where it stops, with the neighbouring edge of the first piece there; none of a closed one.
    at_end : bool
        Whether it starts at the end of its first row's first edge, as that runs, and not at its beginning.
    """

    rows: tuple[Row, ...]
    ends: tuple[str, ...]
    at_end: bool

    def words(self, overlap: str) -> str:
        """What is said of the whole run; `overlap` is how far a closed one ends over its beginning."""
        go = "one run through all rows of the table in their order, at each corner needle down and turn"
        back = f"{BACKSTITCHES} stitches back"
        if not self.ends:
            return f"{go}; all around, {overlap} over its beginning, {back}"
        start, stop = self.ends
        return f"{go}; from {start} to {stop}; {back} at both ends of the run"


def _free(row: Row) -> tuple[str, ...]:
    """Ends of a row that are not sewn on."""
    ends = ((row.start, row.start_at), (row.stop, row.stop_at))
    return tuple(f"{end.value} at {row.edges[0][0]} {edge}" for end, edge in ends if end is not RowEnd.ON)


def _path(at: Mapping[Place, Row], graph: SewingGraph) -> list[Row]:
    """Rows by their edges on one sheet, in the order in which the edges follow each other."""
    first = next((place for place in at if graph.neighbours(place)[0] not in at), next(iter(at)))
    found, place = [at[first]], graph.neighbours(first)[1]
    while place in at and place != first:
        found.append(at[place])
        place = graph.neighbours(place)[1]
    return found


def run_of(rows: Sequence[Row], graph: SewingGraph) -> SeamRun | None:
    """Find the run that goes through all rows of a step.

    Parameters
    ----------
    rows : sequence of Row
        Of one step.
    graph : SewingGraph
        Of the same pattern.

    Returns
    -------
    SeamRun or None
        None where they are not sewn on, or do not follow each other along one sheet.
    """
    if len(rows) < 2 or any(len(row.edges) != 2 for row in rows):
        return None
    if all(RowEnd.ON not in (row.start, row.stop) for row in rows):
        return None
    for side in (0, 1):
        at = {row.edges[side]: row for row in rows}
        if len({place[0] for place in at}) > 1 or len(at) < len(rows):
            continue
        path = _path(at, graph)
        free = [_free(row) for row in path]
        if len(path) < len(rows) or any(free[1:-1]) or len(free[0]) > 1 or len(free[-1]) > 1:
            return None
        if bool(free[0]) is not bool(free[-1]):
            return None
        # The other edges run the other way: what begins a run along the second edge ends one along the first.
        return SeamRun(tuple(path), (*free[0], *free[-1]), side == 1)
    return None
