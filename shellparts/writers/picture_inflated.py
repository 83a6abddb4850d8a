"""Pictures of the room under air: as it stands, how the cloth pulls, where it lies in folds.

Glossary: the *largest pull* of a triangle is its largest principal force; cloth is *wrinkled* where it pulls one way
only, *slack* where it does not pull at all. A scale beside each map says what its colours mean.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from shellparts.inflate.whole_room import InflatedRoom
from shellparts.parameters.part import Part
from shellparts.writers.mesh import Mesh
from shellparts.writers.picture import draw
from shellparts.writers.picture_scene import Scene, arranged

__all__ = ["inflated_scene", "write_inflated_pictures"]

Array = NDArray[np.float64]
_PALE, _DEEP = np.array([0.97, 0.94, 0.84]), np.array([0.55, 0.12, 0.20])
_SMOOTH, _FOLDED = np.array([0.88, 0.91, 0.93]), np.array([0.20, 0.36, 0.55])
_SIZE = (1600, 1000)
#: Pulls above this share of all cloth are shown in one colour: at corners they have no end [-].
_CUT = 0.98


def _seams(room: InflatedRoom) -> list[Array]:
    """Edges between triangles of different sheets, each shape (2, 3)."""
    owner: dict[tuple[int, int], int] = {}
    paths = []
    for (a, b, c), sheet in zip(room.triangles.tolist(), room.sheet_of.tolist(), strict=True):
        for edge in ((a, b), (b, c), (c, a)):
            other = owner.pop((edge[1], edge[0]), None)
            if other is None:
                owner[edge] = sheet
            elif other != sheet:
                paths.append(room.nodes[list(edge)])
    return paths


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
        used, home = np.unique(room.triangles[own], return_inverse=True)
        corners = home.reshape(-1, 3)
        patches.append(Mesh(room.nodes[used], corners))
        parts.append(kinds[name])
        if shares is None:
            colours.append(np.array(kinds[name].colour))
            continue
        total, times = np.zeros(len(used)), np.zeros(len(used))
        np.add.at(total, corners, shares[own][:, None])
        np.add.at(times, corners, 1.0)
        share = (total / times)[:, None]
        colours.append((1.0 - share) * inks[0] + share * inks[1])
    paths = _seams(room)
    return arranged(patches, parts, colours, paths, [0] * len(paths), _SIZE[0] / _SIZE[1])


def _with_scale(path: Path, inks: tuple[Array, Array], top: float, words: str) -> None:
    """Put a scale beside a picture."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.colorbar import ColorbarBase
    from matplotlib.colors import LinearSegmentedColormap, Normalize
    from matplotlib.figure import Figure
    from matplotlib.image import imread

    figure = Figure(figsize=(_SIZE[0] / 100, _SIZE[1] / 100), dpi=100)
    canvas = FigureCanvasAgg(figure)
    picture = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    picture.imshow(imread(path))
    picture.axis("off")
    scale = figure.add_axes((0.03, 0.08, 0.012, 0.34))
    colours = LinearSegmentedColormap.from_list("cloth", [tuple(ink) for ink in inks])
    ColorbarBase(scale, cmap=colours, norm=Normalize(0.0, top), label=words)
    canvas.print_png(str(path), metadata={"Software": None})


def write_inflated_pictures(room: InflatedRoom, kinds: Mapping[str, Part], folder: Path) -> None:
    """Write ``inflated.png``, ``cloth_forces.png`` and ``wrinkles.png``.

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
    draw(inflated_scene(room, kinds), folder / "inflated.png", _SIZE)
    pull = room.forces.largest_N_per_m
    top = float(np.quantile(pull, _CUT))
    draw(inflated_scene(room, kinds, np.clip(pull / top, 0.0, 1.0)), folder / "cloth_forces.png", _SIZE)
    _with_scale(folder / "cloth_forces.png", (_PALE, _DEEP), top, "largest pull of the cloth [N/m]")
    folded = (room.forces.smallest_N_per_m <= 1e-9).astype(float)
    inks = (_SMOOTH, _FOLDED)
    draw(inflated_scene(room, kinds, folded, inks), folder / "wrinkles.png", _SIZE)
    _with_scale(folder / "wrinkles.png", inks, 1.0, "share of the cloth that lies in folds")
