"""The scale model in parts, each as it is printed, and the scale at which all of them fit a printer."""

import math
from collections.abc import Callable

import numpy as np
from attrs import frozen
from manifold3d import Manifold
from numpy.typing import NDArray

from shellparts.base.errors import ParameterError
from shellparts.model.floor_part import floor_parts
from shellparts.model.settled import settled
from shellparts.model.shapes import arrays
from shellparts.model.shell_part import cavity_of, passage_of, ridged, shell_part
from shellparts.model.skin import Skin, skin_solids
from shellparts.model.tube_part import leaf_parts, tube_parts
from shellparts.parameters.design import Design
from shellparts.parameters.part import CAP, FLAP, PANEL, Colour
from shellparts.parameters.printer import Printer

__all__ = ["USUAL_SCALES", "PrintedPart", "PrintedRoom", "print_room"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Scales that a model is made at, from the largest.
USUAL_SCALES = (5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200)
#: Corners nearer than this to a straight line are left out [mm]: far below what a printer shows.
_SIMPLE_MM = 0.01


@frozen(eq=False)
class PrintedPart:
    """A part as it is printed: standing on z = 0, the middle of its bounds over the origin.

    Parameters
    ----------
    name : str
    colour : tuple of float
        As a screen shows it.
    solid : Manifold
        Of the model's size [mm].
    place : ndarray (3, 4) float
        From there to where it is in the model, which has the room's axes.
    """

    name: str
    colour: Colour
    solid: Manifold
    place: Floats

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Width, depth and height [mm]."""
        box = np.asarray(self.solid.bounding_box())
        x, y, z = (box[3:] - box[:3]).tolist()
        return x, y, z

    @property
    def in_place(self) -> Manifold:
        """The part where it is in the model."""
        return self.solid.transform(self.place)

    @property
    def mesh(self) -> tuple[Floats, Ints]:
        """Corners [mm] and triangles."""
        return arrays(self.solid)


@frozen(eq=False)
class PrintedRoom:
    """The scale model of a room, in parts.

    Parameters
    ----------
    scale : int
        It is 1 to this.
    printer : Printer
        That it was made for.
    parts : tuple of PrintedPart
        The largest first.
    people_mm : tuple of float
        Heights of the people on its floor, not scaled [mm].
    """

    scale: int
    printer: Printer
    parts: tuple[PrintedPart, ...]
    people_mm: tuple[float, ...]


def _part(name: str, colour: Colour, made: Manifold, place: Floats) -> PrintedPart:
    """A part moved over the origin of the bed."""
    box = np.asarray(made.bounding_box())
    off = np.array([*(box[:2] + box[3:5]) / 2.0, box[2]])
    made = settled(made.translate(-off), _SIMPLE_MM)
    placed = place.copy()
    placed[:, 3] += place[:, :3] @ off
    return PrintedPart(name, colour, made, placed)


_HERE = np.eye(3, 4)


def _parts(
    skin: Skin, design: Design, scale: float, printer: Printer
) -> tuple[list[PrintedPart], tuple[float, ...]]:
    """Every part at a scale."""
    openings = [
        (tube.scaled(scale), None if one.closure is None else one.closure.scaled(scale))
        for tube, one in zip(design.tubes, design.openings, strict=True)
    ]
    solids = skin_solids(skin.scaled(scale), openings)
    seams = np.mod(design.plan.azimuths - design.shell.half_angle, 2 * math.pi)
    cavity = cavity_of(solids.shell, seams, printer)
    passages = [passage_of(tube, printer) for tube in solids.tubes]
    outer = ridged(solids, passages, printer)
    shell = shell_part(outer, passages, cavity, printer)
    parts = [_part("shell", PANEL.colour, shell, _HERE)]
    spaces = []
    for tube, passage in zip(solids.tubes, passages, strict=True):
        made = tube_parts(tube, passage, outer, printer)
        parts.append(_part(tube.tube.name, tube.tube.part.colour, made.tube, made.place))
        leaves = leaf_parts(tube, made, printer)
        if tube.closure is not None:
            parts += [
                _part(name, tube.closure.part.colour, leaf, made.place) for name, leaf in leaves.items()
            ]
        spaces.append((tube, passage, made.hollow.transform(made.place)))
    floor = floor_parts(solids.shell, shell, cavity, spaces, scale, printer)
    parts.append(_part("floor", FLAP.colour, floor.plate, _HERE))
    parts += [_part(f"floor_{name}", FLAP.colour, strip, _HERE) for name, strip in floor.strips.items()]
    return parts, floor.people


def _shell_size(skin: Skin) -> tuple[float, float, float]:
    """Width, depth and height of a room's shell, without tubes [mm]."""
    roles = np.array([skin.kinds[name].role in {PANEL.role, CAP.role} for name in skin.sheets])
    nodes = skin.nodes[np.unique(skin.triangles[np.append(roles, False)[skin.sheet_of]])]
    x, y, z = np.ptp(nodes, axis=0).tolist()
    return x, y, z


def _fits(size: tuple[float, float, float], printer: Printer) -> bool:
    """Whether something of a size may lie on the bed, perhaps turned by a quarter."""
    width, depth, height = printer.usable_mm
    x, y, z = size
    return z <= height and ((x <= width and y <= depth) or (y <= width and x <= depth))


def print_room(
    skin: Skin,
    design: Design,
    printer: Printer,
    scale: int | None = None,
    told: Callable[[str], None] | None = None,
) -> PrintedRoom:
    """Make the scale model of a room.

    Parameters
    ----------
    skin : Skin
        The room as sewn, or under air [mm].
    design : Design
        Its design.
    printer : Printer
    scale : int, optional
        The model is 1 to this; the largest of `USUAL_SCALES` at which every part fits unless given.
    told : callable, optional
        Told which scale is tried.

    Returns
    -------
    PrintedRoom

    Raises
    ------
    ParameterError
        If a part does not fit the printer at the scale given, or at any.
    GeometryError
        If a part cannot be made.
    """
    whole = _shell_size(skin)
    name, size, tried = "shell", whole, USUAL_SCALES[-1] if scale is None else scale
    for one in USUAL_SCALES if scale is None else (scale,):
        x, y, z = whole
        if not _fits((x / one, y / one, z / one), printer):
            name, size = "shell", (x / one, y / one, z / one)
            continue
        if told is not None:
            told(f"1:{one}")
        parts, people = _parts(skin, design, one, printer)
        large = [part for part in parts if not _fits(part.size_mm, printer)]
        if not large:
            return PrintedRoom(one, printer, tuple(parts), people)
        name, size = large[0].name.replace("_", " "), large[0].size_mm
    width, depth, height = printer.usable_mm
    raise ParameterError(
        f"{name} of the scale model at 1:{tried}",
        " x ".join(f"{side:.0f}" for side in size) + " mm",
        f"at most {width:g} x {depth:g} x {height:g} mm, inside the margins of the printer's bed",
        "leave model_scale out or choose a larger number, or give your printer in Workshop(printer=Printer(…))",
    )
