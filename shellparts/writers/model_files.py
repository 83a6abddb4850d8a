"""Files of the printed scale model: one STL a part, and one 3MF with all of them, named, coloured, on their beds.

STL numbers have no unit, and printing programs take them as millimetres; 3MF says that they are. Beds lie side by side
in the 3MF, a fifth of a bed apart, the first at the origin. The same model gives the same bytes.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from types import SimpleNamespace
from uuid import NAMESPACE_OID, uuid5
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import numpy as np
from lxml import etree
from numpy.typing import NDArray
from trimesh import Scene, Trimesh
from trimesh.exchange import threemf
from trimesh.exchange.stl import export_stl

from shellparts.model.beds import BedPlace, on_beds
from shellparts.model.printed import PrintedPart, PrintedRoom
from shellparts.parameters.part import Colour

__all__ = ["write_model"]

_SPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_CORE = f"{{{_SPACE}}}"
_MODEL = "3D/3dmodel.model"


def write_model(room: PrintedRoom, name: str, folder: Path, suffix: str = "") -> None:
    """Write a scale model as ``NAME_1-N.3mf`` and ``NAME_1-N_PART.stl``.

    Parameters
    ----------
    room : PrintedRoom
    name : str
        Of the room: ASCII letters, digits and underscores.
    folder : Path
        It exists.
    suffix : str
        Ends every file's name.
    """
    stem = f"{name}_1-{room.scale}"
    for part in room.parts:
        # A title must not begin with "solid": many readers would take the file for the text form.
        title = f"shellparts {part.name}, scale 1:{room.scale}, millimetres"[:80].encode("ascii").ljust(80)
        data = title + export_stl(_mesh(part))[len(title) :]
        (folder / f"{stem}_{part.name}{suffix}.stl").write_bytes(data)
    (folder / f"{stem}{suffix}.3mf").write_bytes(_package(room, f"{stem}{suffix}"))


def _mesh(part: PrintedPart) -> Trimesh:
    nodes, triangles = part.mesh
    return Trimesh(nodes + 0.0, triangles, process=False)  # + 0.0: no minus before a zero


def _placed(place: BedPlace, room: PrintedRoom) -> NDArray[np.float64]:
    """From where a part is to its place on its bed."""
    matrix = np.eye(4)
    if place.turned:
        matrix[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
    matrix[:2, 3] = round(place.x + place.bed * 1.2 * room.printer.width, 5), round(place.y, 5)
    return matrix


def _package(room: PrintedRoom, name: str) -> bytes:
    """The 3MF package: trimesh writes it, colours are put in."""
    scene = Scene()
    for part, place in zip(room.parts, on_beds(room.parts, room.printer), strict=True):
        scene.add_geometry(_mesh(part), part.name, part.name, transform=_placed(place, room))
    with _numbered_marks(name):
        plain = threemf.export_3MF(scene)
    colours = {part.name: part.colour for part in room.parts}
    filled = io.BytesIO()
    with ZipFile(io.BytesIO(plain)) as old, ZipFile(filled, "w", ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = old.read(entry)
            same = ZipInfo(entry.filename)  # dated as all of them
            same.compress_type = ZIP_DEFLATED
            new.writestr(same, _coloured(data, colours) if entry.filename == _MODEL else data)
    return filled.getvalue()


def _coloured(model: bytes, colours: dict[str, Colour]) -> bytes:
    """The model with a list of materials, and for each part which of them it is of."""
    tree = etree.fromstring(model)
    resources = tree.find(f"{_CORE}resources")
    objects = resources.findall(f"{_CORE}object")
    number = str(1 + max(int(one.get("id")) for one in objects))
    kinds = list(dict.fromkeys(colours.values()))
    materials = etree.Element(f"{_CORE}basematerials", id=number)
    for one in kinds:
        shown = "#" + "".join(f"{round(255 * share):02X}" for share in one)
        first = next(name for name, colour in colours.items() if colour == one)
        etree.SubElement(materials, f"{_CORE}base", name=first, displaycolor=shown)
    resources.insert(0, materials)
    for one in objects:
        one.set("pid", number)
        one.set("pindex", str(kinds.index(colours[one.get("name")])))
    return bytes(etree.tostring(tree, xml_declaration=True, encoding="utf-8"))


@contextmanager
def _numbered_marks(name: str) -> Iterator[None]:
    """The exporter marks what it writes at random; here the marks follow from the name."""
    random, numbers = threemf.uuid, count()
    threemf.uuid = SimpleNamespace(uuid4=lambda: uuid5(NAMESPACE_OID, f"{name} {next(numbers)}"))
    try:
        yield
    finally:
        threemf.uuid = random
