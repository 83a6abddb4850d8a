"""Other people's solids: read a STEP file, lay its developable faces flat, draw the outlines.

Glossary: a face is *laid* when it has a flat outline, *refused* when it was read and has none, *unreadable* when
the file names it and the kernel cannot make it.

The file is read by `foreign_reader` in a process of its own, for the kernel goes down over damaged files and takes its
process along; what it was at then is told here, and goes on without it.
"""

import math
import os
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import Timer
from typing import IO, Any

import numpy as np
import shapely
from attrs import define, evolve, frozen

from shellparts.base.errors import GeometryError, ModelScriptError
from shellparts.base.progress import bar
from shellparts.base.tolerances import TOLERANCES
from shellparts.drawing.piece import in_rows
from shellparts.drawing.piece_lines import outline_stroke
from shellparts.drawing.strokes import Drawing, Label, Layer
from shellparts.unroll.outline import FaceReport, Outline

__all__ = [
    "FileSurvey",
    "Unreadable",
    "face_line",
    "face_record",
    "outlines_drawing",
    "survey_file",
    "survey_lines",
    "survey_record",
    "write_outlines",
]

#: Time for the kernel to read a file: at least, and more for each million bytes [s].
_READING_S, _READING_S_PER_MB = 20.0, 12.0
#: Time for one face: at least, and more for each edge of it [s].
_FACE_S, _FACE_S_PER_EDGE = 10.0, 0.05
#: On so many faces the kernel may break down before the file is given up.
_MOST_BREAKDOWNS = 12
#: Exit status of a Python program that met an error of its own.
_PYTHON_FAULT = 1


@frozen
class Unreadable:
    """A face that the file names and nobody can have: its record, such as ``"#12"``, and why it cannot be read."""

    entity: str
    reason: str


@frozen(eq=False)
class FileSurvey:
    """Every face of a file: those that were read, laid or refused, and those that could not be."""

    reports: tuple[FaceReport, ...]
    unreadable: tuple[Unreadable, ...]

    @property
    def laid(self) -> int:
        """How many faces have a flat outline."""
        return sum(report.outline is not None for report in self.reports)

    @property
    def refused(self) -> int:
        """How many faces were read and have none."""
        return len(self.reports) - self.laid

    @property
    def faces(self) -> int:
        """How many faces the file has: laid, refused and unreadable together."""
        return len(self.reports) + len(self.unreadable)


@define
class _Child:
    """The process that reads a file: what it was last at, and how it ended."""

    process: subprocess.Popen[str]
    messages: IO[str]
    at: int | None = None
    faces: int = 0
    done: bool = False
    late: bool = False

    def stop(self) -> None:
        """It takes too long."""
        self.late = True
        self.process.kill()

    @property
    def end(self) -> str:
        """How it ended, if not well."""
        code = self.process.returncode
        how = f"signal {-code}" if code < 0 else f"exit status {code}"
        return "was not done in time" if self.late else f"broke down on it ({how})"

    @property
    def fault(self) -> str | None:
        """The last line of a Python program that met an error of its own, where it ended so."""
        if self.late or self.process.returncode != _PYTHON_FAULT:
            return None
        self.messages.seek(0)
        lines = [line.strip() for line in self.messages if line.strip()]
        return lines[-1] if lines else "no word of why"


@contextmanager
def _started(arguments: list[str]) -> Iterator[_Child]:
    """A child process that does not outlive the block, and finds the modules that we found."""
    # -P: nothing that happens to lie in the user's folder is taken for a module.
    command = [sys.executable, "-P", "-m", "shellparts.build.foreign_reader", *arguments]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(one for one in sys.path if one)}
    with (
        tempfile.TemporaryFile("w+", encoding="utf-8", errors="replace") as messages,
        subprocess.Popen(
            command,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=messages,
            text=True,
        ) as process,
    ):
        try:
            yield _Child(process, messages)
        finally:
            process.kill()


def _followed(child: _Child, seconds: float) -> None:
    """Read what the child says until it ends, with a limit on every step; show it as progress."""
    watch = Timer(seconds, child.stop)
    watch.start()
    try:
        with bar(1) as progress:
            progress.step("reading")
            for line in child.process.stdout or ():
                watch.cancel()
                word, *numbers = line.split() or [""]  # the kernel may print, too
                child.done = word == "done"
                if word == "read":
                    child.faces = int(numbers[0])
                elif word == "face":
                    child.at = int(numbers[0])
                    progress.part(child.at / max(1, child.faces))
                edges = int(numbers[1]) if word == "face" else 0
                watch = Timer(_FACE_S + _FACE_S_PER_EDGE * edges, child.stop)
                watch.start()
        child.process.wait()
    finally:
        watch.cancel()


def survey_file(path: Path, tolerance_mm: float = TOLERANCES.edge_gap_mm) -> FileSurvey:
    """Survey every face of a STEP file.

    Parameters
    ----------
    path : Path
        The file; lengths are converted to millimetres.
    tolerance_mm : float
        How far edges may stand off their surface [mm].

    Returns
    -------
    FileSurvey
        The faces in the file's order, each once however many parts of an assembly share it.

    Raises
    ------
    ModelScriptError
        If the file cannot be read, or holds no face that can.
    GeometryError
        If reading meets a fault of this library.
    """
    if not path.is_file():
        raise ModelScriptError(f"{path} is not a file. Give the path of a STEP file.")
    reading = _READING_S + _READING_S_PER_MB * path.stat().st_size / 1e6
    skipped: dict[int, str] = {}
    with tempfile.TemporaryDirectory() as folder:
        result = Path(folder) / "survey"
        while len(skipped) <= _MOST_BREAKDOWNS:
            numbers = ",".join(str(number) for number in skipped)
            with _started([str(path), str(result), repr(tolerance_mm), numbers]) as child:
                _followed(child, reading)
                fault = child.fault
            if child.done and child.process.returncode == 0:
                return _told(result, skipped)
            if fault is not None and (child.at is None or child.at in skipped):
                raise GeometryError(f"{path} could not be read: {fault}")
            if child.at is None or child.at in skipped:
                raise ModelScriptError(
                    f"{path} cannot be read: the geometry kernel {child.end}. The file is damaged or very unusual; "
                    "export it again as AP203, AP214 or AP242."
                )
            skipped[child.at] = f"The geometry kernel {child.end.replace(' on it', ' on this face')}."
            if fault is not None:
                skipped[child.at] = f"A fault of ours: {fault}. Please report it with the file."
    raise ModelScriptError(
        f"{path} cannot be read: the geometry kernel broke down on {len(skipped)} of its faces. Export it again."
    )


def _told(result: Path, skipped: dict[int, str]) -> FileSurvey:
    """What the child found; a face that it had to skip says why."""
    found = pickle.loads(result.read_bytes())  # written by our own child, into a folder of our own
    if isinstance(found, ModelScriptError):
        raise found
    survey: FileSurvey = found
    reports = tuple(
        evolve(report, reason=skipped[report.index]) if report.index in skipped else report
        for report in survey.reports
    )
    return evolve(survey, reports=reports)


def face_record(report: FaceReport) -> dict[str, Any]:
    """One face as plain data."""
    names = (
        "index", "surface", "developable", "reason", "face_area_mm2", "flat_area_mm2",
        "perimeter_mm", "closure_mm", "turning_deficit_rad", "wires", "laid", "edge_gap_mm",
    )  # fmt: skip
    return {name: getattr(report, name) for name in names}


def survey_record(survey: FileSurvey) -> dict[str, Any]:
    """A whole file as plain data."""
    return {
        "faces": [face_record(report) for report in survey.reports],
        "unreadable": [{"entity": one.entity, "reason": one.reason} for one in survey.unreadable],
        "counts": {
            "faces": survey.faces,
            "laid": survey.laid,
            "refused": survey.refused,
            "unreadable": len(survey.unreadable),
        },
    }


def face_line(report: FaceReport) -> str:
    """One face as a line for people."""
    start = f"face {report.index:>4}  {report.surface:<12}"
    if report.outline is None:
        return f"{start} not laid flat: {report.reason}"
    gap = report.outline.edge_gap_mm
    loose = f"; its edges stand up to {gap:.3f} mm off it" if gap > TOLERANCES.edge_gap_told_mm else ""
    return (
        f"{start} {report.flat_area_mm2:14.2f} mm2 flat, {report.perimeter_mm:11.2f} mm around, "
        f"closes to {report.closure_mm:.1e} mm{loose}"
    )


def survey_lines(survey: FileSurvey) -> list[str]:
    """A whole file as lines for people, the count of its faces last."""
    lines = [face_line(report) for report in survey.reports]
    lines += [f"{one.entity:<10} unreadable: {one.reason}" for one in survey.unreadable]
    counts = {"refused": survey.refused, "unreadable": len(survey.unreadable)}
    rest = [f"{many} {word}" for word, many in counts.items() if many]
    return [*lines, ", ".join([f"{survey.laid} of {survey.faces} faces laid flat", *rest])]


def outlines_drawing(reports: Sequence[FaceReport]) -> Drawing:
    """Draw the outlines of faces that have one in rows, true size, each with the number of its face."""
    drawings = [_numbered(report.index, report.outline) for report in reports if report.outline is not None]
    widths = sorted((float(d.box[1][0] - d.box[0][0]) for d in drawings), reverse=True)
    row = max(widths[0], sum(widths) / max(1.0, len(widths) ** 0.5)) if widths else 1.0
    return in_rows(drawings, row, 0.05 * widths[0] if widths else 1.0)


def _numbered(number: int, outline: Outline) -> Drawing:
    """One outline, its number in the largest free place inside."""
    strokes = tuple(outline_stroke(Layer.CUTTING, loop) for loop in outline.loops)
    rings = [loop.polyline(1e-3 * loop.perimeter_mm) for loop in outline.loops]
    shape = shapely.make_valid(shapely.Polygon(rings[0], rings[1:]))
    circle = shapely.maximum_inscribed_circle(shape, tolerance=1e-2 * math.sqrt(shape.area))
    text = f"{number}"
    height = 1.2 * circle.length / math.hypot(1.0, len(text))
    return Drawing(strokes, (Label(Layer.NAME, text, np.array(circle.coords[0]), height),))


def write_outlines(survey: FileSurvey, name: str, out: Path) -> None:
    """Write one DXF of all outlines, and a summary of all faces, into a folder that is replaced as a whole."""
    from shellparts.build.output import replaced_folder
    from shellparts.report.pattern_record import write_summary
    from shellparts.writers.dxf import write_dxf

    with replaced_folder(out) as folder:
        if survey.laid:
            (folder / "flat").mkdir()
            write_dxf(outlines_drawing(survey.reports), folder / "flat" / f"{name}.dxf")
        files = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
        write_summary({**survey_record(survey), "files": files}, folder / "summary.json")
