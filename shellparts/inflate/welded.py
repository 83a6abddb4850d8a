"""A room's flat triangles sewn together: data only.

Glossary: a *weld* is a line along which regions share their nodes, at the same shares of its length on each;
its *mismatch* is by how much the flat lengths differ. A *vent* is a line that two pieces have in common and
that is not sewn: two rows of nodes, with air between them. A *ring* is the outer end of a tube.

This module knows nothing of how it is made, of cloth, pressure or balance.
"""

from itertools import combinations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from shellparts.inflate.regions import Region
from shellparts.parameters.part import Part

__all__ = ["Border", "Weld", "Welded"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@frozen(eq=False)
class Weld:
    """A line along which regions are joined.

    Parameters
    ----------
    key : int
        Name of the line.
    sheets : tuple of tuple of str
        Pieces of each region that is joined here.
    lengths_mm : tuple of float
        Its length on each [mm].
    nodes : ndarray (k,) int
        The nodes, in the line's own direction.
    """

    key: int
    sheets: tuple[tuple[str, ...], ...]
    lengths_mm: tuple[float, ...]
    nodes: Ints

    @property
    def mismatch_mm(self) -> float:
        """Largest difference of the flat lengths."""
        return max(self.lengths_mm) - min(self.lengths_mm)

    @property
    def is_fold(self) -> bool:
        """Whether one piece goes on across it."""
        return len(set(self.sheets)) < len(self.sheets) or any(
            set(a) & set(b) for a, b in combinations(self.sheets, 2)
        )


@frozen(eq=False)
class Border:
    """One line of a region's edge, with the nodes on it.

    Parameters
    ----------
    key : int
        Name of the line.
    forward : bool
        Whether it is walked in the direction of its course in space.
    nodes : ndarray (k,) int
        The nodes, as they are walked.
    rest : ndarray (k, 2) float
        The same nodes on the flat piece [mm].
    """

    key: int
    forward: bool
    nodes: Ints
    rest: Floats


@frozen(eq=False)
class Welded:
    """A room's flat triangles, sewn together.

    Parameters
    ----------
    nodes : ndarray (n, 3) float
        Where each node is in the room as sewn [mm].
    triangles : ndarray (m, 3) int
        Corners, counterclockwise seen from outside.
    rest : ndarray (m, 3, 2) float
        The same corners on the flat piece [mm].
    regions : tuple of Region
        The regions, in the order of their triangles.
    region_of : ndarray (m,) int
        Which of them a triangle is in.
    borders : tuple of tuple of tuple of Border
        The edge of each region: its loops as the region has them.
    welds : tuple of Weld
        Every line that joins regions.
    floor : ndarray of int
        Nodes of edges that lie on the floor.
    rings : tuple of ndarray of int
        Nodes of the outer end of each tube that has no curtain, once round, its triangles on the left.
    vents : tuple of tuple of ndarray of int
        For each vent the row of nodes of one piece, its triangles on the left, and that of the other beside it.
    least_angle_rad : float
        Smallest angle of a flat triangle [rad].
    """

    nodes: Floats
    triangles: Ints
    rest: Floats
    regions: tuple[Region, ...]
    region_of: Ints
    borders: tuple[tuple[tuple[Border, ...], ...], ...]
    welds: tuple[Weld, ...]
    floor: Ints
    rings: tuple[Ints, ...]
    vents: tuple[tuple[Ints, Ints], ...]
    least_angle_rad: float

    def of_kind(self, *kinds: Part) -> NDArray[np.bool_]:
        """Which triangles belong to parts of these kinds."""
        return np.array([region.kind in kinds for region in self.regions])[self.region_of]

    @property
    def layers(self) -> Ints:
        """How many layers of cloth each triangle has."""
        return np.array([len(region.sheets) for region in self.regions])[self.region_of]

    @property
    def sheet_of(self) -> list[str]:
        """Name of the piece each triangle is cut with; of the first where two lie on each other."""
        names = [region.sheets[0] for region in self.regions]
        return [names[i] for i in self.region_of]
