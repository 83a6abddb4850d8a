"""The graph of edges: what each edge of the body is to the sheets that have it. Plain data, no kernel.

Glossary: an edge is a *fold* inside a sheet, a *seam* between the boundaries of two sheets (or of one sheet
and itself, at a *joint*), a *hem* where one sheet ends, or *open* where two sheets meet and are left unsewn
on purpose. The edge of a patch is *sewn onto* the cloth below.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from enum import Enum
from functools import cached_property

from attrs import frozen

from shellparts.base.names import Named
from shellparts.parameters.part import Part

__all__ = ["EdgeRole", "EdgeUse", "SeamGraph", "edge_uses"]


class EdgeRole(Enum):
    """What an edge is to a sheet."""

    SEAM = "seam"
    HEM = "hem"
    FOLD = "fold"
    OPEN = "open"
    ONTO = "sewn onto"


@frozen
class EdgeUse:
    """One edge in one sheet, what it is to it, and the sheets that it is sewn to there, in the body's order.

    At a joint the sheet is its own partner.
    """

    key: int
    sheet: str
    role: EdgeRole
    partners: tuple[str, ...] = ()


@frozen(eq=False)
class SeamGraph:
    """All uses of all edges, what kind each sheet is, and where sheets have their lower and upper edges.

    Parameters
    ----------
    uses : tuple of EdgeUse
    kinds : mapping
        Kind of each sheet by name, in the body's order.
    feet, tops, ends : frozenset of int
        Keys of edges on the floor line of panels and curtain, on the panels' upper ends, at the outer ends of
        tubes.
    joins : frozenset of int
        Keys of edges at which a sheet larger than the cloth is put together of parts.
    """

    uses: tuple[EdgeUse, ...]
    kinds: Named[str, Part]
    feet: frozenset[int] = frozenset()
    tops: frozenset[int] = frozenset()
    ends: frozenset[int] = frozenset()
    joins: frozenset[int] = frozenset()

    @cached_property
    def _by_place(self) -> dict[tuple[str, int], EdgeUse]:
        return {(use.sheet, use.key): use for use in self.uses}

    def use(self, sheet: str, key: int) -> EdgeUse:
        """What an edge is to a sheet that has it."""
        return self._by_place[sheet, key]


def edge_uses(
    keys: Mapping[str, Sequence[int]], joints: frozenset[int], vents: frozenset[int], loose: frozenset[int]
) -> list[EdgeUse]:
    """Find what each edge is to each sheet.

    Examples
    --------
    >>> uses = edge_uses({"a": [1, 2, 3, 3], "b": [2, 4]}, frozenset(), frozenset(), frozenset())
    >>> [(u.sheet, u.key, u.role.value, u.partners) for u in uses][:3]
    [('a', 1, 'hem', ()), ('a', 2, 'seam', ('b',)), ('a', 3, 'fold', ())]
    """
    counts = {name: Counter(listed) for name, listed in keys.items()}
    edges_of: dict[int, list[str]] = {}
    for name, count in counts.items():
        for key, times in count.items():
            if times == 1:
                edges_of.setdefault(key, []).append(name)
    uses = []
    for name, count in counts.items():
        for key, times in count.items():
            others = tuple(other for other in edges_of.get(key, ()) if other != name)
            if times > 1:
                joint = key in joints
                uses.append(
                    EdgeUse(key, name, EdgeRole.SEAM if joint else EdgeRole.FOLD, (name,) if joint else ())
                )
            elif key in vents:
                uses.append(EdgeUse(key, name, EdgeRole.OPEN))
            elif others and key not in loose:
                uses.append(EdgeUse(key, name, EdgeRole.SEAM, others))
            else:
                uses.append(EdgeUse(key, name, EdgeRole.HEM))
    return uses
