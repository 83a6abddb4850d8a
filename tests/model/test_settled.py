"""A mesh as a file keeps it: equal corners are one corner, and it still closes."""

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from shellparts.base.errors import GeometryError
from shellparts.model.settled import STEP_MM, closed_once, settled
from shellparts.model.shapes import arrays


def _bipyramid(turns):
    """Triangles about a ring of corners at these turns, and its two tips."""
    ring = [(8 * np.cos(t), 8 * np.sin(t), 0.0) for t in turns]
    count = len(turns)
    sides = [(i, (i + 1) % count) for i in range(count)]
    faces = [(a, b, count) for a, b in sides] + [(b, a, count + 1) for a, b in sides]
    return 100.0 + np.array([*ring, (0.0, 0.0, 9.0), (0.0, 0.0, -9.0)]), np.array(faces)


def test_corners_that_a_file_joins_leave_no_edge_of_four_triangles():
    """Two corners a millionth of a millimetre apart, far from the origin: the file has room for one."""
    nodes, triangles = _bipyramid([0.0, 1e-7, 2.0, 4.0])
    made = Manifold(Mesh64(nodes, triangles.astype(np.uint64)))
    assert made.num_vert() == 6 and made.num_tri() == 8
    joined, number = np.unique(nodes.astype(np.float32), axis=0, return_inverse=True)
    assert len(joined) == 5 and not closed_once(number.reshape(-1)[triangles])
    kept = settled(made, 1e-12)
    nodes, triangles = arrays(kept)
    assert closed_once(triangles) and len(triangles) == 6
    assert kept.volume() == pytest.approx(made.volume(), rel=1e-3)
    assert (nodes == nodes.astype(np.float32)).all() and len(np.unique(nodes, axis=0)) == len(nodes)
    assert (np.round(nodes / STEP_MM) * STEP_MM == nodes).all()


def test_parts_that_touch_along_an_edge_are_refused():
    """Two boxes, edge to edge: whichever way the file is read, the edge has four faces."""
    one, other = (
        Manifold.cube([10.0, 10.0, 10.0]),
        Manifold.cube([10.0, 10.0, 10.0]).translate([10.0, 10.0, 0.0]),
    )
    nodes, triangles = arrays(one)
    more, faces = arrays(other)
    both = Manifold(
        Mesh64(np.vstack([nodes, more]), np.vstack([triangles, faces + len(nodes)]).astype(np.uint64))
    )
    with pytest.raises(GeometryError, match="touches itself"):
        settled(both, 0.01)


def test_an_edge_is_of_two_triangles_walked_once_each_way():
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    assert closed_once(faces)
    assert not closed_once(faces[:3]) and not closed_once(np.vstack([faces, faces]))
    assert not closed_once(np.vstack([faces[:3], faces[3:, ::-1]]))
