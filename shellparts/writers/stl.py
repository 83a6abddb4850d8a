"""The scale model as an STL file: what is printed to see the room before it is sewn.

Glossary: the *scale* is how many times smaller the model is; the *binary* form is an 80-byte title, the
number of triangles, and 50 bytes a triangle. Its numbers have no unit: every printing program takes them as
millimetres. This module knows nothing of wall thickness or printers: the model is solid.
"""

from pathlib import Path

import numpy as np

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.writers.mesh import Mesh, envelope_mesh

__all__ = ["scale_model", "stl_bytes", "write_stl"]

_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])


def scale_model(body: Body, scale: float) -> Mesh:
    """Mesh of the envelope at a scale, standing on z = 0.

    Parameters
    ----------
    body : Body
    scale : float
        The model is 1 to this [-], above 0.

    Returns
    -------
    Mesh
        Watertight, of the model's size [mm]; before it was scaled it lay within `TOLERANCES.mesh_mm` of the
        body.

    Raises
    ------
    ParameterError
        If the scale is not above 0.
    GeometryError
        If the mesh leaks.
    """
    if not (np.isfinite(scale) and scale > 0):
        raise ParameterError(
            "scale of the model", f"1:{scale:g}", "1 to a number above 0", "choose 1:10 to 1:50"
        )
    mesh = envelope_mesh(body.envelope, TOLERANCES.mesh_mm)
    floor = np.array([0.0, 0.0, mesh.points[:, 2].min()])
    return Mesh((mesh.points - floor) / scale, mesh.triangles)


def stl_bytes(mesh: Mesh, title: str) -> bytes:
    """A mesh in binary STL.

    Parameters
    ----------
    mesh : Mesh
    title : str
        ASCII, cut at 80 characters.

    Returns
    -------
    bytes
    """
    corners = mesh.corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    records = np.zeros(len(corners), _RECORD)
    records["normal"] = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    records["corners"] = corners
    head = title.encode("ascii")[:80].ljust(80)
    return head + np.uint32(len(corners)).astype("<u4").tobytes() + records.tobytes()


def write_stl(body: Body, path: str | Path, scale: float) -> None:
    """Write the as-sewn envelope as a printable scale model in binary STL.

    Parameters
    ----------
    body : Body
    path : str or Path
        Of the file, which is replaced.
    scale : float
        The model is 1 to this [-].

    Raises
    ------
    ParameterError
        If the scale is not above 0.
    GeometryError
        If the mesh leaks.
    """
    # A title must not begin with "solid": many readers would take the file for the text form.
    title = f"shellparts scale model 1:{scale:g}, millimetres"
    Path(path).write_bytes(stl_bytes(scale_model(body, scale), title))
