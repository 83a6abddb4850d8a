"""The scale model among the files of a room: as sewn, and under air where that form is computed."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.base.errors import GeometryError, ParameterError
from shellparts.base.fields import record
from shellparts.build.made import Made
from shellparts.report.warnings import Warning

if TYPE_CHECKING:
    from shellparts.inflate.whole_room import InflatedRoom
    from shellparts.model.skin import Skin

__all__ = ["write_as_sewn", "write_under_air"]


def write_as_sewn(made: Made, folder: Path) -> tuple[dict[str, Any], list[Warning]]:
    """Write the scale model of a room as sewn.

    Parameters
    ----------
    made : Made
    folder : Path
        It exists.

    Returns
    -------
    record : dict
        What the summary says of it; empty if it was left out.
    warnings : list of Warning
        What to know of it.

    Raises
    ------
    ParameterError
        If the scale was given and a part does not fit the printer.
    """
    from shellparts.writers.mesh import skin_of

    return _write(made, skin_of(made.body), folder, "")


def write_under_air(made: Made, room: "InflatedRoom", folder: Path) -> tuple[dict[str, Any], list[Warning]]:
    """Write the scale model of a room under air; the same is returned and raised.

    Parameters
    ----------
    made : Made
    room : InflatedRoom
        It stands.
    folder : Path
        It exists.
    """
    from shellparts.model.skin import skin_under_air

    kinds = {name: made.body.seams.kinds[name] for name in room.sheets}
    return _write(made, skin_under_air(room, kinds), folder, "_under_air")


def _write(made: Made, skin: "Skin", folder: Path, suffix: str) -> tuple[dict[str, Any], list[Warning]]:
    """Print, prove and write; what cannot be printed is left out and spoken of, unless its scale was asked for."""
    from shellparts.model.beds import on_beds
    from shellparts.model.printed import print_room
    from shellparts.model.proof import corners, overhangs
    from shellparts.writers.model_files import write_model

    printer, scale = made.printer, made.design.model_scale
    try:
        room = print_room(skin, made.design, printer, scale)
    except (GeometryError, ParameterError) as error:
        if scale is not None and isinstance(error, ParameterError):
            raise
        code, remedy = "model-left-out", "choose a model_scale, or give a larger printer"
        return {}, [Warning(code, f"the scale model{suffix.replace('_', ' ')} is left out: {error}", remedy)]
    write_model(room, made.design.name, folder, suffix)
    parts, warnings = [], []
    for part, place in zip(room.parts, on_beds(room.parts, printer), strict=True):
        found = overhangs(part.solid, printer.steepest_rad, printer.nozzle / 2.0)
        bridges = [one for one in found if one.anchored and one.span_mm <= printer.bridge_mm]
        free = [one for one in found if one not in bridges]
        width, depth, height = (round(side, 1) for side in part.size_mm)
        parts.append(
            {
                "name": part.name,
                "bed": place.bed + 1,
                "width_mm": width,
                "depth_mm": depth,
                "height_mm": height,
                "bridges_mm": [round(one.span_mm, 1) for one in bridges],
                "supports": len(free),
            }
        )
        edges = corners(part.solid, printer.steepest_rad, 1.5 * printer.nozzle)
        leans = [*(one.lean_deg for one in free), *(one.lean_deg for one in edges)]
        if leans:
            warnings.append(_needs_support(part.name, max(leans), suffix))
    told = {
        "scale": room.scale,
        "printer": record(printer),
        "people_mm": list(room.people_mm),
        "parts": parts,
    }
    return told, warnings


def _needs_support(name: str, lean_deg: float, suffix: str) -> Warning:
    return Warning(
        "model-needs-support",
        f"the {name.replace('_', ' ')} of the scale model{suffix.replace('_', ' ')} overhangs where nothing carries it",
        "switch supports on for this part in the slicing program",
        f"{lean_deg:.0f} degrees from the vertical",
        "50 degrees",
    )
