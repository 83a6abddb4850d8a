"""What a run tells at its end: the room in figures, its verdict, and what lies where in the folder."""

from pathlib import Path

from shellparts.base.counted import counted
from shellparts.base.errors import ended
from shellparts.build.notebook import size_as_sewn
from shellparts.build.room import Room

__all__ = ["run_told"]

#: What lies in the folder of a run, and what it is.
_WRITTEN = {
    "book.pdf": "the whole build in order: print this first",
    "room.html": "turn the room in a browser, as sewn, under air, laid flat",
    "arrangement.pdf": "the room in its hall, with the floor to keep free; arrangement.dxf is the same for CAD",
    "model/": "the scale model in parts to print",
    "flat/": "DXF of all pieces, one SVG a piece, true size; full-size and paper-model PDF",
    "layout/": "where each piece lies on the cloth, to chalk out with a tape",
    "tables/": "pieces, seams, sewing order, materials, stations to mark out templates with a tape",
    "boards/": "templates to saw out of board",
    "solids/": "STEP of every sheet and of the air, as sewn and, with a fan, under air",
    "pictures/": "the room, the working band of its fan",
    "summary.json": "every number",
}


def run_told(room: Room, target: Path) -> str:
    """What was made and where, for people."""
    figures, pattern = room.body.figures, room.pattern
    form = room.whole_form if room.under_air else None
    told = room.design.marking.told
    cut = sum(piece.count for piece in pattern.pieces)
    lines = [
        told(
            f"{room.design.name}: {size_as_sewn(figures.base_diameter_mm, figures.height_mm)}, "
            f"{figures.floor_area_m2:.1f} m2 of floor, {figures.envelope_volume_m3:.1f} m3 of air"
        )
    ]
    if form is not None and form.figures is not None and room.inflated is not None:
        change = form.figures.height_mm - room.inflated.sewn_height_mm
        lines.append(
            told(
                f"under air at {room.inflated.pressure_Pa:.1f} Pa the top is {form.figures.height_mm / 1000:.2f} m up, "
                f"{abs(change):.0f} mm {'higher' if change >= 0 else 'lower'} than sewn"
            )
        )
    lines += [
        f"{counted(cut, 'piece')} of cloth from {counted(len(pattern.pieces), 'template')}, "
        f"{counted(len(pattern.seams), 'seam')}",
        told(room.materials.told),
    ]
    if room.plan is not None:
        lines.append(
            f"verdict: {room.plan.decision.value}; read 'On the day' in book.pdf before the fan is switched on"
        )
    lines.append(f"written to {target}{'' if str(target).endswith('/') else '/'}")
    lines += [f"  {place:<16} {words}" for place, words in _WRITTEN.items() if (target / place).exists()]
    lines += [told(f"note: {w.message}. Remedy: {ended(w.remedy)}") for w in room.warnings]
    return "\n".join(lines)
