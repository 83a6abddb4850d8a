"""Pictures of the room under air: as it stands, how the cloth pulls, where it lies in folds.

Glossary: the *largest pull* of a triangle is its largest principal force; cloth is *wrinkled* where it pulls one way
only, *slack* where it does not pull at all. A scale beside each map says what its colours mean.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from attrs import evolve
from numpy.typing import NDArray
from trimesh import Trimesh

from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters.part import Colour, Part
from shellparts.writers.mesh import faces_of, patches_of
from shellparts.writers.picture import draw
from shellparts.writers.picture_scene import FOLD, SEAM, Scene, arranged
from shellparts.writers.step_inflated import InflatedSolids

__all__ = ["inflated_scene", "smooth_scene", "write_force_pictures"]

Array = NDArray[np.float64]
_PALE, _DEEP = np.array([0.97, 0.94, 0.84]), np.array([0.55, 0.12, 0.20])
_SMOOTH, _FOLDED = np.array([0.88, 0.91, 0.93]), np.array([0.20, 0.36, 0.55])
#: Pulls above this share of all cloth are shown in one colour: at corners they have no end [-].
_CUT = 0.98
#: Triangles stand off a smooth surface by so much at most, and points of a line apart [mm].
_FACET_MM, _STEP_MM = 4.0, 40.0


def inflated_scene(
    room: InflatedRoom,
    kinds: Mapping[str, Part],
    shares: Array | None = None,
    inks: tuple[Array, Array] = (_PALE, _DEEP),
) -> Scene:
    """Arrange a picture of an inflated room.

    Parameters
    ----------
    room : InflatedRoom
    kinds : mapping
        What each sheet is, by name.
    shares : ndarray, optional
        Shape (triangles,): how far the colour of each goes from the first ink to the second, 0 to 1; in the
        colours of the cloth parts unless given.
    inks : pair of ndarray
        Colours, each shape (3,).

    Returns
    -------
    Scene
    """
    patches, parts, colours = [], [], []
    for number, name in enumerate(room.sheets):
        own = np.flatnonzero(room.sheet_of == number)
        if not len(own):
            continue
        patch = Trimesh(room.nodes, room.triangles[own], process=False)
        patch.remove_unreferenced_vertices()
        patches.append(patch)
        parts.append(kinds[name])
        if shares is None:
            colours.append(np.array(kinds[name].colour))
        else:  # of a point: the mean of the triangles round it
            share = ((patch.faces_sparse @ shares[own]) / patch.vertex_degree)[:, None]
            colours.append((1.0 - share) * inks[0] + share * inks[1])
    whole = Trimesh(room.nodes, room.triangles, process=False)
    beside = room.sheet_of[whole.face_adjacency]
    seams = whole.face_adjacency_edges[beside[:, 0] != beside[:, 1]]
    return arranged(patches, parts, colours, {SEAM: list(room.nodes[seams])})


def smooth_scene(solids: InflatedSolids, kinds: Mapping[str, Part]) -> Scene | None:
    """Arrange a picture of the smooth surfaces of a room, with its seams and folds.

    Parameters
    ----------
    solids : InflatedSolids
    kinds : mapping
        What each sheet is, by name.

    Returns
    -------
    Scene or None
        None where the surfaces are flat triangles.
    """
    form = solids.smooth
    if form is None:
        return None
    faces = [(face, kinds[part.name]) for part in solids.sheets for face in faces_of(part.shape)]
    parts = [kind for _, kind in faces]
    patches = patches_of([face for face, _ in faces], _FACET_MM)
    lines: dict[tuple[float, Colour], list[Array]] = {SEAM: [], FOLD: []}
    for number, (edge, curve) in enumerate(zip(form.net.edges, form.curves, strict=True)):
        beside = [face.sheets for face in form.net.faces if any(side.edge == number for side in face.sides)]
        folded = len(beside) == 2 and bool(set(beside[0]) & set(beside[1]))
        at = np.linspace(0.0, edge.lengths[-1], max(2, round(edge.lengths[-1] / _STEP_MM)))
        lines[FOLD if folded else SEAM].append(curve(at))
    return arranged(patches, parts, [part.colour for part in parts], lines)


def write_force_pictures(room: InflatedRoom, kinds: Mapping[str, Part], folder: Path) -> None:
    """Write ``cloth_forces.png`` and ``wrinkles.png``.

    Parameters
    ----------
    room : InflatedRoom
        It stands.
    kinds : mapping
        What each sheet is, by name.
    folder : Path
        It exists.

    Raises
    ------
    NoPictureError
        Where there is no OpenGL, or it fails, or takes too long.
    """
    assert room.forces is not None  # it stands
    pull = room.forces.largest_N_per_m
    top = float(np.quantile(pull, _CUT))
    inks = (_PALE, _DEEP)
    scene = inflated_scene(room, kinds, np.clip(pull / top, 0.0, 1.0), inks)
    draw(evolve(scene, scale=("largest pull of the cloth [N/m]", top, inks)), folder / "cloth_forces.png")
    folded = (room.forces.smallest_N_per_m <= 1e-9).astype(float)
    inks = (_SMOOTH, _FOLDED)
    scene = inflated_scene(room, kinds, folded, inks)
    draw(evolve(scene, scale=("share of the cloth that lies in folds", 1.0, inks)), folder / "wrinkles.png")
