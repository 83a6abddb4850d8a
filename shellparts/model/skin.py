"""The room as one closed mesh that knows its sheets, and the solids that it encloses: shell and tubes.

Glossary: the *skin* is the cloth that holds the air, as sewn or under air; *lids* close it where there is no cloth.
The *mouth* of a tube is the row of edges where it is sewn to the shell; one that starts and ends on the floor is
closed by the line between its ends. This module knows nothing of printers or scales.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from attrs import frozen
from manifold3d import Manifold, Mesh64, triangulate
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError
from shellparts.inflate.closing import closed_form, rims
from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters.opening import Closure, Tube
from shellparts.parameters.part import Part, Role

__all__ = ["Skin", "SkinSolids", "TubeSolid", "skin_solids", "skin_under_air", "solid"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_SHELL = {Role.PANEL, Role.CAP}


@frozen(eq=False)
class Skin:
    """A closed mesh whose triangles know their sheets.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Corners [mm].
    triangles : ndarray (m, 3) int
        Counterclockwise seen from outside.
    sheet_of : ndarray (m,) int
        Number of each triangle's sheet; -1 for lids.
    sheets : tuple of str
        Names of the sheets.
    kinds : mapping of str to Part
        What each sheet is for.
    """

    nodes: Floats
    triangles: Ints
    sheet_of: Ints
    sheets: tuple[str, ...]
    kinds: Mapping[str, Part]

    def scaled(self, scale: float) -> "Skin":
        """The same skin so many times smaller, standing on z = 0."""
        floor = np.array([0.0, 0.0, self.nodes[:, 2].min()])
        return Skin((self.nodes - floor) / scale, self.triangles, self.sheet_of, self.sheets, self.kinds)


@frozen(eq=False)
class TubeSolid:
    """A tube with the air in it: from its mouth in the shell to its outer end."""

    tube: Tube
    closure: Closure | None
    solid: Manifold
    mouth: Floats  # Points along its mouth, shape (k, 3) [mm]; from floor to floor, or once round and closed
    end: float  # Distance along it at which it is cut flat [mm]


@frozen(eq=False)
class SkinSolids:
    """The shell without its tubes, the tubes, and where sheets of the shell are sewn together."""

    shell: Manifold
    tubes: tuple[TubeSolid, ...]
    seams: Floats  # Straight pieces of seams between sheets of the shell, shape (k, 2, 3) [mm]


def solid(nodes: Floats, triangles: Ints) -> Manifold:
    """A solid of a closed mesh.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Corners [mm].
    triangles : ndarray (m, 3) int
        Counterclockwise seen from outside.

    Returns
    -------
    Manifold

    Raises
    ------
    GeometryError
        If the mesh does not close.
    """
    used, renumbered = np.unique(triangles, return_inverse=True)
    mesh = Mesh64(np.ascontiguousarray(nodes[used]), renumbered.reshape(-1, 3).astype(np.uint64))
    made = Manifold(mesh)
    if made.is_empty() or made.volume() <= 0.0:
        raise GeometryError(f"a part of the scale model does not close: {made.status().name}")
    return made


def _filled(nodes: Floats, rim: Sequence[int]) -> Ints:
    """Triangles that close a rim, walked counterclockwise seen from outside, in its mean plane."""
    points = nodes[list(rim)]
    normal = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0)
    normal /= np.linalg.norm(normal)
    side = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    side /= np.linalg.norm(side)
    flat = points @ np.column_stack([side, np.cross(normal, side)])
    return np.asarray(rim, np.int64)[triangulate([flat], 0.0, False).astype(np.int64)]


def _closed(nodes: Floats, triangles: Ints) -> Manifold:
    """A solid of triangles whose rims are closed flat."""
    lids = [_filled(nodes, rim) for rim in rims(triangles)]
    return solid(nodes, np.vstack([triangles, *lids]))


def _edges(triangles: Ints) -> Ints:
    """Directed edges, shape (3 m, 2), those of a triangle one after the other."""
    return triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)


def _chain(edges: Ints) -> list[int]:
    """Nodes of directed edges that follow each other, from the first to the last, or once round."""
    following = dict(edges.tolist())
    starts = sorted(set(following) - set(following.values()))
    if len(starts) > 1:
        raise GeometryError("the mouth of a tube is in several pieces")
    chain = [starts[0] if starts else min(following)]
    while following:
        if chain[-1] not in following:
            raise GeometryError("the mouth of a tube is in several pieces")
        chain.append(following.pop(chain[-1]))
    return chain if starts else chain[:-1]


def skin_solids(skin: Skin, openings: Sequence[tuple[Tube, Closure | None]]) -> SkinSolids:
    """Take a skin apart into its shell and its tubes.

    Parameters
    ----------
    skin : Skin
    openings : sequence of (Tube, Closure or None)
        The tubes, of the skin's size, and what closes them.

    Returns
    -------
    SkinSolids

    Raises
    ------
    GeometryError
        If a part does not close.
    """
    nodes, triangles = skin.nodes, skin.triangles
    roles = np.array([skin.kinds[name].role in _SHELL for name in skin.sheets])
    is_shell = np.append(roles, False)[skin.sheet_of]
    edges, owner = _edges(triangles), np.repeat(np.arange(len(triangles)), 3)
    across = {edge: face for edge, face in zip(map(tuple, edges.tolist()), owner.tolist(), strict=True)}
    twin = np.array([across[b, a] for a, b in edges.tolist()])
    patches, tubes = [], []
    for tube, closure in openings:
        names = {tube.name}
        if closure is not None:
            stem = closure.part.word + tube.name.removeprefix(tube.part.word)
            names |= {f"{stem}_left", f"{stem}_right"}
        member = np.append([name in names for name in skin.sheets], False)[skin.sheet_of]
        at_mouth = is_shell[twin] & member[owner]
        chain = _chain(edges[at_mouth])  # as the tube walks it, and so does what closes the shell there
        patch = _filled(nodes, chain)
        patches.append(patch)
        number = skin.sheets.index(tube.name)
        beyond = member & (skin.sheet_of != number) if closure is not None else skin.sheet_of < 0
        ring = nodes[np.unique(edges[(skin.sheet_of[owner] == number) & beyond[twin]])]
        closed = _closed(nodes, np.vstack([triangles[member], patch[:, ::-1]]))
        tubes.append(TubeSolid(tube, closure, closed, nodes[chain], float(tube.local(ring)[:, 2].min())))
    shell = _closed(nodes, np.vstack([triangles[is_shell], *patches]))
    differ = is_shell[owner] & is_shell[twin] & (skin.sheet_of[owner] != skin.sheet_of[twin])
    seams = nodes[edges[differ & (edges[:, 0] < edges[:, 1])]]
    return SkinSolids(shell, tuple(tubes), seams)


def skin_under_air(room: InflatedRoom, kinds: Mapping[str, Part]) -> Skin:
    """The skin of a room under air.

    Parameters
    ----------
    room : InflatedRoom
        It stands.
    kinds : mapping of str to Part
        What each sheet is for.

    Returns
    -------
    Skin
        Where a vent gapes, the air between its edges counts as cloth of the leaf beside it.

    Raises
    ------
    GeometryError
        If the surface does not close.
    """
    form = closed_form(room)
    sheet_of = np.full(len(form.triangles), -1)
    sheet_of[: form.cloth] = room.sheet_of
    corners = {node for face in form.triangles[: form.cloth].tolist() for node in face}
    leaf_at = {
        node: sheet
        for face, sheet in zip(form.triangles[: form.cloth].tolist(), room.sheet_of.tolist(), strict=True)
        if kinds[room.sheets[sheet]].role is Role.CLOSURE
        for node in face
    }
    for number, face in enumerate(form.triangles[form.cloth :].tolist(), form.cloth):
        if set(face) <= corners:  # no lid: those have a point of their own
            sheet_of[number] = next(leaf_at[node] for node in face if node in leaf_at)
    return Skin(form.nodes, form.triangles, sheet_of, room.sheets, kinds)
