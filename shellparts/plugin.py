"""CadQuery's side: methods for Workplane, added only when asked, and model scripts for CadQuery's script gateway.

Nothing changes in CadQuery until `register` is called.
"""

from pathlib import Path

import cadquery as cq
from cadquery import cqgi

from shellparts.base.units import Length
from shellparts.build.script import script_parameters
from shellparts.parameters import Design
from shellparts.unroll.flat_face import laid_flat

__all__ = ["gateway_model", "register"]


def _cloth_room(self: cq.Workplane, design: Design) -> cq.Workplane:
    """Put the sewn envelope of a design on the stack, standing in this workplane: its floor, its origin, its x."""
    from shellparts.build.room import build

    return self.newObject([build(design).envelope.moved(self.plane.location)])


def _laid_flat(self: cq.Workplane, gap: Length = 20.0) -> cq.Workplane:
    """Lay the faces of what is on the stack flat in this workplane, side by side along its x, `gap` apart [mm]."""
    return self.newObject([face.moved(self.plane.location) for face in laid_flat(self, gap)])


def register() -> None:
    """Add the methods ``clothRoom`` and ``laidFlat`` to `cadquery.Workplane`.

    ``Workplane().clothRoom(design)`` gives the sewn envelope of a design; ``workplane.laidFlat()`` lays the faces of
    what is on the stack flat beside each other: faces, or those of solids; refused if one of them is not developable.
    Both in the workplane's own plane.
    """
    cq.Workplane.clothRoom = _cloth_room
    cq.Workplane.laidFlat = _laid_flat


def gateway_model(script: str | Path) -> cqgi.CQModel:
    """Parse a model script for CadQuery's gateway, with what the comments say as descriptions of its parameters.

    Parameters
    ----------
    script : str or Path
        The file.

    Returns
    -------
    cadquery.cqgi.CQModel
        Its ``metadata.parameters`` have names, values and descriptions; ``build({"across": 5000})`` builds it. A length
        may be a number of millimetres, the same as text, or a text with a unit.

    Raises
    ------
    ModelScriptError
        If the script cannot be read.
    """
    path = Path(script)
    told = script_parameters(path)
    model = cqgi.parse(path.read_text(encoding="utf-8-sig"))
    for one in told:
        if one.name in model.metadata.parameters:
            model.metadata.add_parameter_description(one.name, one.told)
    return model
