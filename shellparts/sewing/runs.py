"""Rows of one step that are sewn in one go: what follows what at their corners, so that the needle never leaves.

Glossary: a row lies along one edge, or along both edges of a seam, which run against each other. Its *end* 0 is where
its first edge begins, its end 1 where that ends. A *run* goes through rows from end to end; one that is *closed* comes
back to where it began. This module knows nothing of cloth.
"""

from collections.abc import Callable, Iterator, Sequence

from attrs import frozen

from shellparts.sewing.bundle import Place

__all__ = ["SewnRun", "runs_of"]

_End = tuple[int, int]


@frozen
class SewnRun:
    """Rows in the order of the needle.

    Parameters
    ----------
    rows : tuple of (int, bool)
        The number of each row, and whether it is sewn from its end 1 to its end 0.
    closed : bool
        Whether it ends where it begins.
    """

    rows: tuple[tuple[int, bool], ...]
    closed: bool


def _links(rows: Sequence[Sequence[Place]], after: Callable[[Place], Place | None]) -> dict[_End, _End]:
    """Which end of a row goes on into which end of another; each into one at most."""
    at: dict[Place, list[_End]] = {}
    for number, places in enumerate(rows):
        for side, place in enumerate(places):
            at.setdefault(place, []).append((number, side))
    found: dict[_End, _End] = {}
    for number, places in enumerate(rows):
        for side, place in enumerate(places):
            following = after(place)
            for other, its_side in at.get(following, ()) if following is not None else ():
                here, there = (number, 1 - side), (other, its_side)
                if here != there and here not in found and there not in found:
                    found[here], found[there] = there, here
    return found


def _walk(links: dict[_End, _End], start: _End) -> Iterator[_End]:
    """Ends at which rows are begun, from one on."""
    end = start
    while True:
        yield end
        following = links.get((end[0], 1 - end[1]))
        if following is None or following == start:
            return
        end = following


def runs_of(rows: Sequence[Sequence[Place]], after: Callable[[Place], Place | None]) -> list[SewnRun]:
    """Order rows into runs.

    Parameters
    ----------
    rows : sequence of sequence of Place
        The edge of each row, or both edges of its seam.
    after : callable
        The edge at the end of an edge on which the needle could go on, if any.

    Returns
    -------
    list of SewnRun
        Every row is in one of them. A run that is not closed begins at the free end of its first row; one that is
        closed at its first row, and goes on to the earlier of the two that follow.

    Examples
    --------
    >>> ring = {"e1": "e2", "e2": "e3", "e3": "e1"}
    >>> edges = [[("cap", "e1")], [("cap", "e2")], [("cap", "e3")]]
    >>> runs_of(edges, lambda place: (place[0], ring[place[1]]))
    [SewnRun(rows=((0, False), (1, False), (2, False)), closed=True)]
    >>> [run.rows for run in runs_of([edges[1], edges[0]], lambda place: (place[0], ring[place[1]]))]
    [((0, True), (1, True))]
    """
    links = _links(rows, after)
    left, found = dict.fromkeys(range(len(rows))), []
    while left:
        first = next(iter(left))
        ways = [[*_walk(links, (first, end))] for end in (0, 1)]
        closed = links.get((ways[0][-1][0], 1 - ways[0][-1][1])) == (first, 0)
        if closed:
            way = min(ways, key=lambda way: way[min(1, len(way) - 1)])
        else:
            whole = {one for way in ways for one, _ in way}
            free = [(row, end) for row in sorted(whole) for end in (0, 1) if (row, end) not in links]
            way = [*_walk(links, free[0])]
        found.append(SewnRun(tuple((row, end == 1) for row, end in way), closed))
        for row, _ in way:
            del left[row]
    return found
