"""Other people's solids: read a STEP file, lay its developable faces flat, draw the outlines."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.errors import ModelScriptError
from shellparts.progress import over
from shellparts.unroll.outline import Outline
from shellparts.unroll.report import FaceReport
from shellparts.writers.drawing import Drawing, Layer

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape

__all__ = ["face_line", "face_record", "outlines_drawing", "survey_file", "write_outlines"]


@contextmanager
def _silent_kernel() -> Iterator[None]:
    """Keep the kernel's own messages off standard output, which is for results."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)


def _read_step(path: Path) -> "TopoDS_Shape":
    if not path.is_file():
        raise ModelScriptError(f"{path} is not a file. Give the path of a STEP file.")
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    with _silent_kernel():
        read = reader.ReadFile(str(path)) == IFSelect_RetDone and reader.TransferRoots() > 0
    if not read:
        raise ModelScriptError(f"{path} cannot be read as STEP. Export it again as AP203, AP214 or AP242.")
    shape = reader.OneShape()
    if shape.IsNull():
        raise ModelScriptError(f"{path} holds no shape. Export a solid or a surface.")
    return shape


def survey_file(path: Path) -> tuple[FaceReport, ...]:
    """Survey every face of a STEP file.

    Parameters
    ----------
    path : Path
        The file; lengths are converted to millimetres.

    Returns
    -------
    tuple of FaceReport
        In the file's order.

    Raises
    ------
    ModelScriptError
        If the file cannot be read.
    """
    shape = _read_step(path)
    from shellparts.unroll import survey

    reports: tuple[FaceReport, ...] = survey(shape, progress=lambda faces: over(faces, "faces"))
    return reports


def face_record(report: FaceReport) -> dict[str, Any]:
    """One face as plain data.

    Parameters
    ----------
    report : FaceReport

    Returns
    -------
    dict
    """
    names = (
        "index", "surface", "developable", "reason", "face_area_mm2", "flat_area_mm2",
        "perimeter_mm", "closure_mm", "turning_deficit_rad", "wires",
    )  # fmt: skip
    return {name: getattr(report, name) for name in names}


def face_line(report: FaceReport) -> str:
    """One face as a line for people.

    Parameters
    ----------
    report : FaceReport

    Returns
    -------
    str
    """
    start = f"face {report.index:>4}  {report.surface:<12}"
    if report.outline is None:
        return f"{start} not laid flat: {report.reason}"
    return (
        f"{start} {report.flat_area_mm2:14.2f} mm2 flat, {report.perimeter_mm:11.2f} mm around, "
        f"closes to {report.closure_mm:.1e} mm"
    )


def outlines_drawing(outlines: Sequence[Outline]) -> Drawing:
    """Draw outlines in rows, true size.

    Parameters
    ----------
    outlines : sequence of Outline

    Returns
    -------
    Drawing
    """
    from shellparts.writers.piece_drawing import in_rows, outline_stroke

    drawings = [
        Drawing(tuple(outline_stroke(Layer.SEWING, loop) for loop in outline.loops)) for outline in outlines
    ]
    widths = sorted((float(d.box[1][0] - d.box[0][0]) for d in drawings), reverse=True)
    row = max(widths[0], sum(widths) / max(1.0, len(widths) ** 0.5)) if widths else 1.0
    return in_rows(drawings, row, 0.05 * widths[0] if widths else 1.0)


def write_outlines(reports: Sequence[FaceReport], name: str, out: Path) -> None:
    """Write one DXF of all outlines, and a summary of all faces.

    Parameters
    ----------
    reports : sequence of FaceReport
    name : str
        Of the files.
    out : Path
        The folder; it is replaced as a whole.
    """
    from shellparts.output import replaced_folder
    from shellparts.writers.dxf import write_dxf
    from shellparts.writers.summary import write_summary

    with replaced_folder(out) as folder:
        flat = [report.outline for report in reports if report.outline is not None]
        if flat:
            (folder / "flat").mkdir()
            write_dxf(outlines_drawing(flat), folder / "flat" / f"{name}.dxf")
        files = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
        write_summary(
            {"faces": [face_record(report) for report in reports], "files": files}, folder / "summary.json"
        )
