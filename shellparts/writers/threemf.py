"""The scale model as a 3MF file, which says that its numbers are millimetres.

Glossary: a *package* is a zip file of parts, here a list of content types, a pointer to the model, and the
model itself: the points, and the triangles by the numbers of their points. Written after the 3MF Core
Specification. This module knows nothing of colours, plates or printers.
"""

from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import numpy as np

from shellparts.body.body import Body
from shellparts.writers.mesh import Mesh
from shellparts.writers.stl import scale_model

__all__ = ["threemf_bytes", "write_3mf"]

_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPES = _HEAD + (
    f'<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>"
)
_RELATIONS = _HEAD + (
    f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Target="/3D/3dmodel.model" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
_MODEL = (
    _HEAD + '<model unit="millimeter" xml:lang="en-US" '
    'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n'
    '<resources><object id="1" type="model" name="{name}"><mesh>\n<vertices>\n{vertices}\n</vertices>\n'
    "<triangles>\n{triangles}\n</triangles>\n</mesh></object></resources>\n"
    '<build><item objectid="1"/></build></model>\n'
)


def threemf_bytes(mesh: Mesh, name: str) -> bytes:
    """A mesh in a 3MF package.

    Parameters
    ----------
    mesh : Mesh
        Welded [mm].
    name : str
        Of the object: ASCII letters, digits and underscores.

    Returns
    -------
    bytes
        The same for the same mesh: every part bears the same date.
    """
    points = (np.round(mesh.points, 6) + 0.0).tolist()  # + 0.0: no minus before a zero
    vertices = "\n".join(f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>' for x, y, z in points)
    triangles = "\n".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.triangles.tolist())
    model = _MODEL.format(name=name, vertices=vertices, triangles=triangles)
    stream = BytesIO()
    with ZipFile(stream, "w", ZIP_DEFLATED) as package:
        parts = {"[Content_Types].xml": _TYPES, "_rels/.rels": _RELATIONS, "3D/3dmodel.model": model}
        for path, text in parts.items():
            entry = ZipInfo(path, (1980, 1, 1, 0, 0, 0))
            entry.compress_type, entry.create_system = ZIP_DEFLATED, 0
            package.writestr(entry, text)
    return stream.getvalue()


def write_3mf(body: Body, name: str, path: str | Path, scale: float) -> None:
    """Write the as-sewn envelope as a printable scale model in 3MF.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
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
    Path(path).write_bytes(threemf_bytes(scale_model(body, scale), name))
