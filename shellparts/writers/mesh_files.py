"""Files of triangles: the scale model as STL and 3MF, for printing; the room as sewn as glTF, for viewers.

Glossary: the *scale* is how many times smaller the model is. STL numbers have no unit, and printing programs
take them as millimetres; 3MF says that they are. glTF measures in metres with Y up, and mixes colours as
*linear* light, not as a screen's numbers. trimesh writes all three. The same room gives the same bytes.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from uuid import NAMESPACE_OID, uuid5

import numpy as np
from trimesh import Scene, Trimesh
from trimesh.exchange import threemf
from trimesh.exchange.gltf import export_glb
from trimesh.exchange.stl import export_stl
from trimesh.util import concatenate
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.drawing.colours import FLOOR
from shellparts.parameters.part import Colour
from shellparts.writers.mesh import envelope_mesh, patches_of
from shellparts.writers.step_around import floor_of

__all__ = ["scale_model", "write_glb", "write_scale_model"]

_Y_UP = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])


def scale_model(body: Body, scale: float) -> Trimesh:
    """Mesh of the envelope at a scale, standing on z = 0.

    Parameters
    ----------
    body : Body
    scale : float
        The model is 1 to this [-], above 0.

    Returns
    -------
    Trimesh
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
    floor = np.array([0.0, 0.0, mesh.bounds[0, 2]])
    return Trimesh((mesh.vertices - floor) / scale, mesh.faces, process=False)


def write_scale_model(model: Trimesh, name: str, scale: float, folder: Path) -> None:
    """Write a scale model as ``NAME_1-SCALE.stl`` and ``NAME_1-SCALE.3mf``.

    Parameters
    ----------
    model : Trimesh
        Welded, of the model's size [mm].
    name : str
        ASCII letters, digits and underscores.
    scale : float
        The model is 1 to this [-].
    folder : Path
        It exists.
    """
    # A title must not begin with "solid": many readers would take the file for the text form.
    title = f"shellparts scale model 1:{scale:g}, millimetres".encode("ascii").ljust(80)
    (folder / f"{name}_1-{scale}.stl").write_bytes(title + export_stl(model)[len(title) :])
    plain = np.round(model.vertices, 6) + 0.0  # + 0.0: no minus before a zero
    scene = Scene()
    scene.add_geometry(Trimesh(plain, model.faces, process=False), name, name)
    with _numbered_marks(name):
        package = threemf.export_3MF(scene)
    (folder / f"{name}_1-{scale}.3mf").write_bytes(package)


@contextmanager
def _numbered_marks(name: str) -> Iterator[None]:
    """The exporter marks what it writes at random; here the marks follow from the name."""
    random, numbers = threemf.uuid, count()
    threemf.uuid = SimpleNamespace(uuid4=lambda: uuid5(NAMESPACE_OID, f"{name} {next(numbers)}"))
    try:
        yield
    finally:
        threemf.uuid = random


def _linear(colour: Colour) -> list[float]:
    """A screen's colour as linear light (IEC 61966-2-1), with full opacity."""
    c = np.array(colour)
    light = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return [*(round(float(v), 6) for v in light), 1.0]


def write_glb(body: Body, name: str, path: str | Path) -> None:
    """Write the room as sewn for viewers, in metres with Y up: one named, coloured mesh a sheet, and the floor.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
    path : str or Path
        Of the file, which is replaced.
    """
    faces = [face.face for sheet in body.sheets for face in sheet.faces]
    patches = iter(patches_of([*faces, floor_of(body)], TOLERANCES.mesh_mm))
    scene = Scene()
    scene.graph.update(name)
    parts = [(sheet.name, sheet.kind.colour, len(sheet.faces)) for sheet in body.sheets]
    for part, _, many in [*parts, ("floor", FLOOR, 1)]:
        mesh = concatenate([next(patches) for _ in range(many)])  # not welded: folds stay sharp
        cloth = PBRMaterial(name=part, metallicFactor=0.0, roughnessFactor=0.9, doubleSided=True)
        upright = Trimesh(mesh.vertices @ _Y_UP.T / 1000.0, mesh.faces, process=False)
        upright.visual = TextureVisuals(material=cloth)
        scene.add_geometry(upright, part, part, parent_node_name=name)
    light = {part: _linear(colour) for part, colour, _ in parts} | {"floor": _linear(FLOOR)}

    def finish(tree: dict[str, Any]) -> None:
        """Exact colours, where the exporter has bytes; our own names."""
        tree["asset"]["generator"], tree["scenes"][0]["name"] = "shellparts", name
        for material in tree["materials"]:
            material["pbrMetallicRoughness"]["baseColorFactor"] = light[material["name"]]

    Path(path).write_bytes(export_glb(scene, include_normals=True, tree_postprocessor=finish))
