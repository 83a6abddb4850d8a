"""The room as a tree of named solids: cloth in its groups, the air, and what stands around it for the eye.

Every sheet is a shell of its own in the colour of its kind, in a group with its like; the two leaves of a curtain
overlap in one face, of which each has its own copy. The *air* is one closed solid, named ``envelope``. *Around* it are
the floor inside, plain people for the scale, and a ring where each fan goes. Lengths are millimetres. This module knows
nothing of flat pieces or allowances.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path

from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Shape, TopoDS_Shell

from shellparts.body.body import Body, BodySheet
from shellparts.drawing.colours import AIR, FLOOR, METAL, SOMEBODY
from shellparts.parameters.part import Part, Role
from shellparts.writers.mesh import copy_of
from shellparts.writers.step import NamedPart, PartGroup, tree_bytes
from shellparts.writers.step_around import fan_rings, floor_of, people_in
from shellparts.writers.step_thick import ThickSheets

__all__ = ["AROUND", "CLOTH", "ENVELOPE", "room_tree", "sheets_of", "step_bytes", "thick_bytes", "write_step"]

#: Names of the group of sheets, of the closed solid, and of all that is only for the eye.
CLOTH, ENVELOPE, AROUND = "cloth", "envelope", "around"

_AIR_OPACITY = 0.35
_TITLE = "cloth room as sewn, millimetres"


def _shell_of(sheet: BodySheet) -> TopoDS_Shell:
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    for face in sheet.faces:
        builder.Add(shell, face.face)
    return copy_of(shell)


def sheets_of(body: Body) -> tuple[NamedPart, ...]:
    """Every sheet as sewn.

    Parameters
    ----------
    body : Body

    Returns
    -------
    tuple of NamedPart
        One shell a sheet, in the body's order; none shares anything with another.
    """
    return tuple(NamedPart(sheet.name, _shell_of(sheet), sheet.kind.colour) for sheet in body.sheets)


def _group_name(kind: Part) -> str:
    """What a kind of sheet stands in: panels and cap are the shell."""
    return "shell" if kind.role in (Role.PANEL, Role.CAP) else f"{kind.word.replace(' ', '_')}s"


def _free(name: str, taken: Iterable[str]) -> str:
    """A name that stands nowhere else in the file."""
    while name in taken:
        name += "_room"
    return name


def room_tree(
    body: Body, name: str, sheets: Iterable[NamedPart] | None = None, air: TopoDS_Shape | None = None
) -> PartGroup:
    """Arrange a room.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
    sheets : iterable of NamedPart, optional
        In place of those as sewn, with the same names.
    air : TopoDS_Shape, optional
        In place of the closed solid as sewn.

    Returns
    -------
    PartGroup
    """
    kinds: Mapping[str, Part] = body.seams.kinds
    groups: dict[str, list[NamedPart]] = {}
    for sheet in sheets_of(body) if sheets is None else sheets:
        groups.setdefault(_group_name(kinds[sheet.name]), []).append(sheet)
    cloth = PartGroup(CLOTH, tuple(PartGroup(word, tuple(parts)) for word, parts in groups.items()))
    envelope = NamedPart(ENVELOPE, copy_of(body.envelope if air is None else air), AIR, _AIR_OPACITY)
    around: list[NamedPart | PartGroup] = [NamedPart("floor", floor_of(body), FLOOR)]
    for group, colour, shapes in (("people", SOMEBODY, people_in(body)), ("fans", METAL, fan_rings(body))):
        if shapes:
            around.append(PartGroup(group, tuple(NamedPart(one, shape, colour) for one, shape in shapes)))
    members = (cloth, envelope, PartGroup(AROUND, tuple(around)))
    taken = {
        one for member in members for one in (member.names() if isinstance(member, PartGroup) else [ENVELOPE])
    }
    return PartGroup(_free(name, taken), members)


def step_bytes(body: Body, name: str) -> bytes:
    """The room as sewn, in STEP.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.

    Returns
    -------
    bytes
        The same for the same body, in every run.

    Raises
    ------
    GeometryError
        If the kernel cannot write the room.
    """
    return tree_bytes(room_tree(body, name), _TITLE)


def thick_bytes(body: Body, name: str, thick: ThickSheets) -> bytes:
    """The room as sewn with sheets of a real thickness, in STEP; the envelope is that without."""
    title = f"cloth room as sewn, sheets {thick.thickness_mm:g} mm thick, millimetres"
    return tree_bytes(room_tree(body, name, thick.sheets), title)


def write_step(body: Body, name: str, path: str | Path) -> None:
    """Write the room as sewn in STEP, in millimetres.

    Parameters
    ----------
    body : Body
    name : str
        Of the room: ASCII letters, digits and underscores.
    path : str or Path
        Of the file, which is replaced.

    Raises
    ------
    GeometryError
        If the kernel cannot write the room.
    """
    Path(path).write_bytes(step_bytes(body, name))
