"""The room as sewn as glTF, for viewers.

glTF measures in metres with Y up, and mixes colours as *linear* light, not as a screen's numbers. trimesh writes
it. The same room gives the same bytes.
"""

from pathlib import Path
from typing import Any

import numpy as np
from trimesh import Scene, Trimesh
from trimesh.exchange.gltf import export_glb
from trimesh.util import concatenate
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body
from shellparts.drawing.colours import FLOOR
from shellparts.parameters.part import Colour
from shellparts.writers.mesh import patches_of
from shellparts.writers.step_around import floor_of

__all__ = ["write_glb"]

_Y_UP = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])


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
