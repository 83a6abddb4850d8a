"""Names of pieces: what it is, what it meets, and a number where that is not enough; names of the sides of cloth.

Glossary: the *outer side* of a piece is the one that is seen from outside when the room stands.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Sequence

from attrs import evolve

from shellparts.body.seams import EdgeRole, SeamGraph
from shellparts.parameters.part import Role
from shellparts.pattern.alike import PieceClass
from shellparts.pattern.pieces import Piece, PieceEdge, Seam
from shellparts.pattern.seam_kinds import JOIN

__all__ = ["INNER_UP", "OUTER_UP", "in_short", "piece_names", "with_words"]

#: How a piece lies, wherever it is drawn or told.
OUTER_UP, INNER_UP = "outer side up", "inner side up: turned over"


def _base(sheet: str, graph: SeamGraph) -> str:
    """``panel``, ``panel_doorway``, ``panel_sleeve``; the sheet's own name for parts that there is one of."""
    kind = graph.kinds[sheet]
    part = _part(sheet, graph)
    if kind.role is Role.FLAP:
        return "_".join(["flap", *part])
    if kind.role is not Role.PANEL:
        return sheet
    partners = {
        p for use in graph.uses if use.sheet == sheet and use.role is EdgeRole.SEAM for p in use.partners
    }
    met = sorted({graph.kinds[p].opening for p in partners} - {""})
    return "_".join(["panel", *met, *part])


def _part(sheet: str, graph: SeamGraph) -> list[str]:
    """The letter of a part of a sheet that was divided."""
    is_part = any(use.sheet == sheet and use.key in graph.joins for use in graph.uses)
    return [sheet.rsplit("_", 1)[1]] if is_part else []


def piece_names(classes: Sequence[PieceClass], graph: SeamGraph) -> list[str]:
    """Name the pieces."""
    bases = [_base(cls.sheets[0], graph) for cls in classes]
    own = Counter(base for base, cls in zip(bases, classes, strict=True) if cls.mirror_of is None)
    seen: Counter[str] = Counter()
    names: list[str] = []
    for base, cls in zip(bases, classes, strict=True):
        own_name = base == cls.sheets[0]
        if cls.mirror_of is not None and not own_name:
            names.append(f"{names[cls.mirror_of]}_mirrored")
            continue
        seen[base] += 1
        names.append(base if own_name or own[base] == 1 else f"{base}_{seen[base]}")
    return names


def in_short(names: Sequence[str]) -> str:
    """Write names that differ in a last number alone as stretches.

    Parameters
    ----------
    names : sequence of str
        In the order in which they are to stand.

    Returns
    -------
    str

    Examples
    --------
    >>> in_short(["panel_02", "panel_03", "panel_04", "panel_06", "tunnel"])
    'panel_02 to panel_04, panel_06, tunnel'
    """
    runs: list[list[str]] = []
    for name in names:
        if runs and _follows(runs[-1][-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def _follows(before: str, after: str) -> bool:
    """Whether two names are alike but for a number at the end that is one higher."""
    ends = [re.fullmatch(r"(.*_)(\d+)", name) for name in (before, after)]
    if ends[0] is None or ends[1] is None:
        return False
    return ends[0][1] == ends[1][1] and int(ends[1][2]) == int(ends[0][2]) + 1


def with_words(pieces: Sequence[Piece], seams: Sequence[Seam]) -> list[Piece]:
    """Say in words what an edge meets, wherever the id of a seam would be true of one copy of a piece only."""
    by_name = {piece.name: piece for piece in pieces}
    meets: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for seam in seams:
        for side in (0, 1):
            other = (seam.pieces[1 - side], seam.seam_class)
            place = meets[seam.pieces[side], seam.edges[side]]
            if other not in place:
                place.append(other)

    def words(piece: Piece, edge: PieceEdge) -> str:
        others = meets.get((piece.name, edge.id), [])
        if not others or piece.count == 1:
            return ""
        kinds = sorted({by_name[name].kind.word for name, _ in others})
        if any(seam_class == JOIN for _, seam_class in others):
            names = {name for name, _ in others}
            return "to " + (names.pop() if len(names) == 1 else "its other part")
        if kinds == [piece.kind.word]:
            return f"next {piece.kind.word}"
        return "to " + " and ".join(kinds)

    return [
        evolve(
            piece,
            edges=tuple(evolve(edge, words=words(piece, edge)) for edge in piece.edges),
            holes=tuple(
                tuple(evolve(edge, words=words(piece, edge)) for edge in hole) for hole in piece.holes
            ),
        )
        for piece in pieces
    ]
