"""The room as sewn for viewers, as a binary glTF file: one named, coloured mesh a sheet.

Glossary: glTF measures in metres with Y up, and mixes colours as *linear* light, not as a screen's numbers; a
*chunk* is a block of the binary form, one of text and one of numbers; a *view* is a stretch of the numbers
and an *accessor* says how to read it. Written after the Khronos glTF 2.0 specification (ISO/IEC 12113). This
module knows nothing of lights or cameras.
"""

import json
import struct
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.parameters.part import Colour
from shellparts.writers.mesh import Mesh, patches_of, smooth_normals

__all__ = ["glb_bytes", "sheet_meshes", "write_glb"]

_FLOAT, _UINT = 5126, 5125
_POINTS, _INDICES = 34962, 34963


def sheet_meshes(body: Body) -> list[tuple[str, Colour, Mesh, NDArray[np.float64]]]:
    """The sheets as meshes, arranged for a viewer.

    Parameters
    ----------
    body : Body

    Returns
    -------
    list of tuples
        Name, colour, mesh [mm], and unit normals at its points, shape (n, 3). Points are kept apart where
        faces meet over a fold, so that the fold stays sharp.
    """
    faces = {id(face): face.face for sheet in body.sheets for face in sheet.faces}
    patches = dict(zip(faces, patches_of(list(faces.values()), TOLERANCES.mesh_mm), strict=True))
    arranged = []
    for sheet in body.sheets:
        own = [patches[id(face)] for face in sheet.faces]
        shifts = np.cumsum([0, *(len(patch.points) for patch in own)])
        triangles = np.concatenate(
            [patch.triangles + shift for patch, shift in zip(own, shifts, strict=False)]
        )
        mesh = Mesh(np.concatenate([patch.points for patch in own]), triangles)
        arranged.append(
            (sheet.name, sheet.kind.colour, mesh, np.concatenate([smooth_normals(p) for p in own]))
        )
    return arranged


def _linear(colour: Colour) -> list[float]:
    """A screen's colour as linear light (IEC 61966-2-1), with full opacity."""
    c = np.array(colour)
    light = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return [*(round(float(v), 6) for v in light), 1.0]


def _y_up(vectors: NDArray[np.float64]) -> NDArray[np.float32]:
    return np.column_stack([vectors[:, 0], vectors[:, 2], -vectors[:, 1]]).astype("<f4")


class _Numbers:
    """The block of numbers, and how to read it."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: NDArray[Any], kind: str, target: int, **more: Any) -> int:
        """Append values; the number of their accessor. Every value is 4 bytes, so that all stays aligned."""
        raw = values.tobytes()
        self.views.append(
            {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw), "target": target}
        )
        self.data += raw
        component = _UINT if values.dtype.kind == "u" else _FLOAT
        read = {
            "bufferView": len(self.views) - 1,
            "componentType": component,
            "count": len(values),
            "type": kind,
        }
        self.accessors.append(read | more)
        return len(self.accessors) - 1


def glb_bytes(body: Body, name: str) -> bytes:
    """The room as sewn in binary glTF.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.

    Returns
    -------
    bytes
        The same for the same body.
    """
    numbers = _Numbers()
    meshes: list[dict[str, Any]] = []
    nodes: list[dict[str, Any]] = []
    materials: list[dict[str, Any]] = []
    for label, colour, mesh, normals in sheet_meshes(body):
        points = _y_up(mesh.points / 1000.0)
        low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        attributes = {
            "POSITION": numbers.add(points, "VEC3", _POINTS, min=low, max=high),
            "NORMAL": numbers.add(_y_up(normals), "VEC3", _POINTS),
        }
        indices = numbers.add(mesh.triangles.astype("<u4").ravel(), "SCALAR", _INDICES)
        look = {"baseColorFactor": _linear(colour), "metallicFactor": 0.0, "roughnessFactor": 0.9}
        materials.append({"name": label, "pbrMetallicRoughness": look, "doubleSided": True})
        number = len(meshes)
        meshes.append(
            {
                "name": label,
                "primitives": [{"attributes": attributes, "indices": indices, "material": number}],
            }
        )
        nodes.append({"name": label, "mesh": number})
    room = {"name": name, "children": list(range(len(nodes)))}
    text = {
        "asset": {"version": "2.0", "generator": "shellparts"},
        "scene": 0,
        "scenes": [{"name": name, "nodes": [len(nodes)]}],
        "nodes": [*nodes, room],
        "meshes": meshes,
        "materials": materials,
        "accessors": numbers.accessors,
        "bufferViews": numbers.views,
        "buffers": [{"byteLength": len(numbers.data)}],
    }
    head = json.dumps(text, separators=(",", ":")).encode("ascii")
    head += b" " * (-len(head) % 4)
    chunks = struct.pack("<I4s", len(head), b"JSON") + head + struct.pack("<I4s", len(numbers.data), b"BIN\0")
    return (
        struct.pack("<4sII", b"glTF", 2, 12 + len(chunks) + len(numbers.data)) + chunks + bytes(numbers.data)
    )


def write_glb(body: Body, name: str, path: str | Path) -> None:
    """Write the room as sewn for viewers, in metres with Y up.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
    path : str or Path
        Of the file, which is replaced.
    """
    Path(path).write_bytes(glb_bytes(body, name))
