"""What a collaborator should know of the solids, as plain text beside them.

Which file is what, units and datum, how the tree is named, which sheet is cut as which piece, and what the form under
air is good for.
"""

import textwrap
from collections.abc import Iterator

from shellparts.body.body import Body
from shellparts.parameters import Marking
from shellparts.parameters.part import Role
from shellparts.pattern.made import Pattern
from shellparts.writers.step_inflated import InflatedSolids
from shellparts.writers.step_thick import ThickSheets

__all__ = ["solids_note"]

_WIDTH, _METRIC = 96, Marking()


def _paragraph(text: str, marking: Marking) -> Iterator[str]:
    yield from textwrap.wrap(marking.told(text), _WIDTH)
    yield ""


def _files(
    name: str, solids: InflatedSolids | None, thick: ThickSheets | None, marking: Marking
) -> Iterator[str]:
    files = {f"{name}.step": "the room as sewn: a surface for every sheet, the air as one closed solid"}
    if thick is not None:
        files[f"{name}_thick.step"] = (
            f"the same, every sheet a solid {thick.thickness_mm:g} mm thick, outward"
        )
    if solids is not None:
        files[f"{name}_inflated.step"] = "the form predicted under air, in the same tree"
    files[f"{name}.glb"] = "the room as sewn for viewers: metres, Y up"
    for file, told in files.items():
        yield file
        yield from textwrap.wrap(marking.told(told), _WIDTH, initial_indent="    ", subsequent_indent="    ")
    yield ""


def _tree(body: Body, marking: Marking) -> Iterator[str]:
    yield from _paragraph(
        "Names. Each STEP file is a tree: cloth, with a group for every kind of sheet (shell: panels and cap); "
        "envelope, the air; around, what is only for the eye: the floor inside, plain people (an adult of 1.7 m and "
        "children of about 1.2 m, where there is room), a ring where each fan goes. Nothing shares anything with "
        "anything else.",
        marking,
    )
    doorways = any(sheet.kind.role is Role.TUBE and not sheet.kind.is_round for sheet in body.sheets)
    door = "the first doorway" if doorways else "the middle of panel 1"
    yield from _paragraph(
        "Units are millimetres, and the files say so. The datum is on the floor in the axis of the shell: z is up, x "
        f"points out through {door}, y to the left of x seen from above. Panels are counted counter-clockwise seen "
        "from above.",
        marking,
    )
    height, across = body.figures.height_mm, body.figures.base_diameter_mm
    yield from _paragraph(
        f"As sewn the room is {across:.0f} mm across its seams at the floor and {height:.0f} mm high; the air in it is "
        f"{body.figures.envelope_volume_m3:.3f} m3.",
        marking,
    )


def _pieces(pattern: Pattern) -> Iterator[str]:
    """Sheets by the piece they are cut as; a sheet larger than the cloth is joined of several."""
    yield "Which sheet is which piece of the pattern (flat/):"
    width = max(len(piece.name) for piece in pattern.pieces)
    for piece in pattern.pieces:
        listed = ", ".join(piece.sheets)
        first, rest = f"  {piece.name:<{width}}  ", " " * (width + 4)
        yield from textwrap.wrap(listed, _WIDTH, initial_indent=first, subsequent_indent=rest)
    yield ""


def _under_air(solids: InflatedSolids, pressure_Pa: float, marking: Marking) -> Iterator[str]:
    yield from _paragraph(
        f"Under air. The form is what the cloth takes at {pressure_Pa:.1f} Pa, worked out from the flat pieces as they "
        "are sewn, doorway and sleeve included, for still air, with the foot held where it was sewn and the "
        "sleeve tied to a fan that stands where it was designed to. Good for: looks, clearances of some centimetres, "
        "projection, furniture, volumes. Not good for: cutting cloth (the flat pieces are), strength, wind, or single "
        "folds: cloth folds finer than shown here, and its stiffness is an estimate. Leaves of a curtain hang together "
        "where they overlap; ground flaps lie as sewn.",
        marking,
    )
    form = solids.smooth
    if form is None:
        yield from _paragraph(
            f"Its surfaces are flat triangles, because: {solids.fault}. Neighbours share edges; the sheets are the "
            "same triangles as the closed solid.",
            marking,
        )
        return
    yield from _paragraph(
        "Its surfaces are smooth: one cubic spline surface for every face of cloth between folds and seams. They pass "
        f"the computed points within {form.misses_mm.max():.2f} mm; along seams and folds neighbours meet within "
        f"{form.gaps_mm.max():.2f} mm of the common edge. Read with a tolerance above that: the solid is closed.",
        marking,
    )
    loose = [f"{' / '.join(pieces)} {gap:.1f} mm" for pieces, gap in form.loose]
    loose += [f"{' / '.join(pieces)} {miss:.1f} mm off its points" for pieces, miss in form.missed]
    if loose:
        yield from _paragraph(
            f"Folds are crumpled, and surfaces stand farther off, at: {'; '.join(loose)}.", marking
        )


def _thickness(thick: ThickSheets, marking: Marking) -> Iterator[str]:
    told = (
        f"Thickness. Sheets are {thick.thickness_mm:g} mm thick, outward from the surface as sewn; the envelope is "
        "without it."
    )
    if thick.in_parts:
        told += (
            f" Of several solids, one a face, which gape or overlap at folds: {', '.join(thick.in_parts)}."
        )
    if thick.without:
        told += f" Still surfaces, for the kernel can give them no thickness: {', '.join(thick.without)}."
    yield from _paragraph(told, marking)


def solids_note(
    name: str,
    body: Body,
    pattern: Pattern,
    solids: InflatedSolids | None,
    pressure_Pa: float | None,
    thick: ThickSheets | None,
    marking: Marking = _METRIC,
) -> str:
    """Write the note.

    Parameters
    ----------
    name : str
        Of the room.
    body : Body
    pattern : Pattern
    solids : InflatedSolids or None
        The form under air, if there is a file of it.
    pressure_Pa : float or None
        Of its air over that outside [Pa]; None without it.
    thick : ThickSheets or None
        Sheets with a thickness, if there is a file of them.
    marking : Marking, optional
        Which tape lengths are told by.

    Returns
    -------
    str
        ASCII.
    """
    lines = [f"Solids of {name}", ""]
    lines += [*_files(name, solids, thick, marking), *_tree(body, marking), *_pieces(pattern)]
    if solids is not None and pressure_Pa is not None:
        lines += _under_air(solids, pressure_Pa, marking)
    if thick is not None:
        lines += _thickness(thick, marking)
    return "\n".join(lines).rstrip() + "\n"
