"""Tolerances that several stages share, each with its reason.

Everything is in millimetres, radians or a plain ratio, as the name says. A number that decides for one formula
alone stands beside it.
"""

import math

from attrs import frozen

__all__ = ["TOLERANCES", "Tolerances", "whole_up"]


@frozen
class Tolerances:
    """The tolerances that the stages share."""

    #: Two points closer than this are one point [mm]: the kernel's own confusion distance.
    same_point_mm: float = 1e-6
    #: Lines of two parts that do not coincide keep this clear of each other [mm]: the kernel's mesher leaks at
    #: slivers of a tenth of a millimetre, and nobody can cut one.
    near_miss_mm: float = 0.5
    #: A curved edge may end this far from its node [mm]: two nodes that were made one are up to
    #: `same_point_mm` apart.
    node_on_curve_mm: float = 3e-6
    #: A piece's outline must close to this [mm].
    closure_mm: float = 1e-3
    #: Any outline must close to this share of its perimeter.
    closure_ratio: float = 1e-6
    #: Flat area against face area, as a share.
    area_ratio: float = 1e-6
    #: The two edges of a seam may differ by this [mm].
    seam_mismatch_mm: float = 1e-2
    #: Turning deficit above which a boundary is not that of a flat piece [rad]. On a 2 m panel it is less than
    #: 0.1 mm of gap.
    turning_deficit_rad: float = 1e-5
    #: Integral of the size of Gaussian curvature over a face [rad]: above it the surface is not developable,
    #: below it lies the noise of approximated surfaces.
    curvature_rad: float = 1e-3
    #: Edges of other people's files may stand this far off their surfaces unless told otherwise [mm]: about the
    #: width of a pencil line.
    edge_gap_mm: float = 0.5
    #: Edges that stand farther off than this are spoken of [mm]: it shows at the edge of a laid piece of cloth.
    edge_gap_told_mm: float = 0.05
    #: Volume of the envelope against the sum of its parts, as a share.
    volume_ratio: float = 1e-6
    #: Largest distance of a polyline from the curve it stands for on a drawing [mm]: well below a chalk
    #: line.
    drawing_sagitta_mm: float = 0.02
    #: Largest deviation of the mesh from the body, before it is scaled down [mm].
    mesh_mm: float = 1.0
    #: Depth at which the floor carries the whole air pressure [mm]: far below what is seen, and soft
    #: enough for steady steps of the solver.
    floor_sink_mm: float = 0.1
    #: Forces left over in an inflated form, as a share of the air pressure's: a form is only shown below
    #: it.
    equilibrium_ratio: float = 1e-6
    #: Cutting lines are rounded to this [mm], so that bands along neighbouring edges join without slivers.
    cutting_grid_mm: float = 1e-4
    #: A boundary that turns more than this is a corner of two edges even where both are sewn to the same
    #: sheet [rad].
    corner_rad: float = 0.6
    #: Two pieces within this of each other everywhere are cut from one template [mm].
    same_piece_mm: float = 1e-2
    #: A laid piece may come this much closer to its neighbour, or to the margin, than asked [mm]: less
    #: than the width of a chalk line, more than the packer's single-precision coordinates lose on a 60 m
    #: roll.
    layout_slip_mm: float = 0.1
    #: Two laid pieces may overlap by this area [mm2]: rounding along a shared edge, where no gap is asked.
    layout_overlap_mm2: float = 1.0


TOLERANCES = Tolerances()


def whole_up(value: float) -> int:
    """Round up, forgiving what floating point adds to a whole number.

    Parameters
    ----------
    value : float
        Any number.

    Examples
    --------
    >>> whole_up(3.0000000001), whole_up(3.01)
    (3, 4)
    """
    return math.ceil(value - 1e-9)
