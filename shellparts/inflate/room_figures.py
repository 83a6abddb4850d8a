"""Figures of a room under air: sizes, how far its panels bulge, what its cloth bears.

Glossary: a panel's *mid-line* runs up its middle, x = 0 on the flat piece; its *chord* goes straight across
from seam to seam. A panel is *whole* if nothing but panels and the cap is sewn to it. The *far* panel is the
whole one farthest from doorway and sleeve: it is least disturbed by them.

This module does not look for balance.
"""

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from shellparts.base.names import Named
from shellparts.inflate.forces import ClothForces, patch_mean
from shellparts.inflate.sheet import MembraneSheet
from shellparts.inflate.welded import Welded
from shellparts.parameters.part import CAP, PANEL

__all__ = ["FarPanel", "FormFigures", "room_figures"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_PATCH_MM = 50.0
"""Forces are means over patches of this radius, a hand's breadth across, or of a triangle's side if longer."""
_EDGE_MM = 150.0
"""Largest forces are looked for this far from floor, cap and openings."""


@frozen
class FarPanel:
    """The panel least disturbed by openings.

    Parameters
    ----------
    sheet : str
        Its name.
    bulge_mm : float
        How far its mid-line stands out of its chords, where it does most [mm].
    hoop_N_per_m, meridian_N_per_m : float
        Largest force across and along it [N/m].
    """

    sheet: str
    bulge_mm: float
    hoop_N_per_m: float
    meridian_N_per_m: float


@frozen
class FormFigures:
    """What is told of a room under air.

    Parameters
    ----------
    height_mm : float
        Highest point [mm].
    volume_m3 : float
        Air inside, to the outer end of the sleeve and to the curtain [m^3].
    widest_diameter_mm : float
        Diameter of the upright cylinder round panels and cap, about the axis as sewn [mm].
    panel_bulge_mm : float
        Largest bulge of a whole panel [mm].
    max_hoop_N_per_m, max_meridian_N_per_m : float
        Largest force across and along the panels, as a mean over a hand's breadth, or a
        triangle's where that is broader, 150 mm or more from
        floor, cap and openings [N/m]. Near the corners of openings the
        force still grows as triangles get finer, and so do these: only those of the far panel settle.
    opening_N_per_m : float
        Largest force in panels beside an opening, nearer than that, in any direction [N/m]; zero without
        openings. It does not settle as triangles get finer: it tells where to reinforce, not how much.
    wrinkled_fraction : float
        Share of all cloth above the floor that is wrinkled or slack [-].
    far : FarPanel or None
        The panel least disturbed by openings; None if no panel is whole.
    """

    height_mm: float
    volume_m3: float
    widest_diameter_mm: float
    panel_bulge_mm: float
    max_hoop_N_per_m: float
    max_meridian_N_per_m: float
    opening_N_per_m: float
    wrinkled_fraction: float
    far: FarPanel | None

    def summary(self) -> dict[str, float]:
        """Give the figures by name, those of the far panel with ``far_`` before them."""
        names = [name for name in self.__attrs_attrs__ if name.name != "far"]
        told = {one.name: float(getattr(self, one.name)) for one in names}
        if self.far is not None:
            for name in ("bulge_mm", "hoop_N_per_m", "meridian_N_per_m"):
                told[f"far_{name}"] = float(getattr(self.far, name))
        return Named("figure", told)


def _openings(welded: Welded) -> tuple[Ints, set[str]]:
    """Nodes along which something else than panels and cap is sewn to panels, and the panels it is sewn to."""
    kinds = {name: region.kind for region in welded.regions for name in region.sheets}
    shell = {PANEL, CAP}
    nodes, broken = [np.zeros(0, dtype=np.int64)], set()
    for one in welded.welds:
        names = {name for sheets in one.sheets for name in sheets}
        if {kinds[name] for name in names} & shell and {kinds[name] for name in names} - shell:
            nodes.append(one.nodes)
            broken |= {name for name in names if kinds[name] == PANEL}
    return np.unique(np.concatenate(nodes)), broken


def _mid_line(rest: Floats, corners: Floats) -> tuple[Floats, Floats]:
    """Heights on the flat and points in space where triangles' sides cross x = 0, from the lowest up."""
    a, b = rest.reshape(-1, 2), np.roll(rest, -1, axis=1).reshape(-1, 2)
    p, q = corners.reshape(-1, 3), np.roll(corners, -1, axis=1).reshape(-1, 3)
    cross = (a[:, 0] < 0) != (b[:, 0] < 0)
    a, b, p, q = a[cross], b[cross], p[cross], q[cross]
    share = (a[:, 0] / (a[:, 0] - b[:, 0]))[:, None]
    height, first = np.unique(np.round((a + share * (b - a))[:, 1], 6), return_index=True)
    return height, (p + share * (q - p))[first]


def _bulge(welded: Welded, nodes: Floats, sheet: str, triangles: Mask) -> float:
    """Largest distance of a panel's mid-line from its chords, seen in the upright plane through its middle."""
    faces, rest = welded.triangles[triangles], welded.rest[triangles]
    flat = dict(zip(faces.ravel().tolist(), rest.reshape(-1, 2).tolist(), strict=True))
    seams = [w.nodes for w in welded.welds if not w.is_fold and sum(sheet in s for s in w.sheets) == 1]
    edge = np.unique(np.concatenate(seams))
    place = np.array([flat[i] for i in edge.tolist()])
    heights, middles = _mid_line(rest, nodes[faces])
    ends = []
    for side in (place[:, 0] < 0, place[:, 0] > 0):
        order = np.lexsort((np.abs(place[side, 0]), place[side, 1]))
        y, points = place[side, 1][order], nodes[edge[side]][order]
        ends.append(np.stack([np.interp(heights, y, points[:, i]) for i in range(3)], axis=-1))
    centre = welded.nodes[faces].mean(axis=(0, 1))
    outward = np.array([centre[0], centre[1], 0.0]) / np.hypot(centre[0], centre[1])
    plane = np.stack([outward, [0.0, 0.0, 1.0]], axis=-1)
    chord, line = (ends[0] + ends[1]) / 2 @ plane, middles @ plane
    a, d = chord[:-1], np.diff(chord, axis=0)
    reach = np.einsum("pki,ki->pk", line[:, None] - a, d) / np.maximum(np.einsum("ki,ki->k", d, d), 1e-300)
    nearest = a + np.clip(reach, 0, 1)[..., None] * d
    return float(np.linalg.norm(line[:, None] - nearest, axis=-1).min(axis=1).max())


def room_figures(
    welded: Welded, sheet: MembraneSheet, nodes: Floats, volume_mm3: float, forces: ClothForces
) -> FormFigures:
    """Work out the figures of a form.

    Parameters
    ----------
    welded : Welded
        The mesh, in the form as sewn.
    sheet : MembraneSheet
        The same with its cloth.
    nodes : ndarray (n, 3) float
        Where its nodes are [mm].
    volume_mm3 : float
        Air inside [mm^3].
    forces : ClothForces
        Forces along and across the panels.

    Returns
    -------
    FormFigures
        The figures.
    """
    panels, shell = welded.of_kind(PANEL), welded.of_kind(PANEL, CAP)
    openings, broken = _openings(welded)
    names = np.array(welded.sheet_of)
    whole = [name for name in dict.fromkeys(names[panels].tolist()) if name not in broken]
    size = float(np.ptp(welded.nodes[np.unique(welded.triangles[panels]), 2]))
    # side of an equilateral triangle of the mean area
    side = float(np.sqrt(sheet.rest_area[panels].mean() * 4 / np.sqrt(3)))
    patch, edge = max(min(_PATCH_MM, 0.02 * size), side), min(_EDGE_MM, 0.05 * size)
    middles = welded.nodes[welded.triangles].mean(axis=1)
    ends = np.concatenate([welded.floor, np.unique(welded.triangles[welded.of_kind(CAP)])])
    clear = panels & (cKDTree(welded.nodes[ends]).query(middles)[0] > edge)
    beside = np.zeros(len(panels), dtype=bool)
    away = np.full(len(panels), np.inf)
    if len(openings):
        away = cKDTree(welded.nodes[openings]).query(middles)[0]
        beside = clear & (away <= edge)
    means = [
        patch_mean(sheet, values, patch)
        for values in (forces.across_N_per_m, forces.along_N_per_m, forces.largest_N_per_m)
    ]
    free = clear & ~beside
    bulges = {name: _bulge(welded, nodes, name, names == name) for name in whole}
    far = None
    if whole:
        distance = [round(float(away[names == name].mean()), 3) for name in whole]
        name = whole[int(np.argmax(distance))] if np.isfinite(distance[0]) else whole[0]
        own = free & (names == name)
        far = FarPanel(name, bulges[name], float(means[0][own].max()), float(means[1][own].max()))
    out = nodes[np.unique(welded.triangles[shell])]
    return FormFigures(
        height_mm=float(nodes[:, 2].max()),
        volume_m3=volume_mm3 * 1e-9,
        widest_diameter_mm=2 * float(np.hypot(out[:, 0], out[:, 1]).max()),
        panel_bulge_mm=max(bulges.values(), default=0.0),
        max_hoop_N_per_m=float(means[0][free].max()),
        max_meridian_N_per_m=float(means[1][free].max()),
        opening_N_per_m=float(means[2][beside].max(initial=0.0)),
        wrinkled_fraction=forces.wrinkled_fraction,
        far=far,
    )
