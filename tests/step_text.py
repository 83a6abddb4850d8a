"""STEP files as text, and what happens to them: edges moved off their surfaces, bytes damaged.

ISO 10303-21: a record is ``#label = KEYWORD(arguments);``. Nothing of the library is used here.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import cadquery as cq
import numpy as np
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

RECORD = re.compile(r"#(\d+)\s*=\s*([A-Z0-9_]*)\s*\(((?:'[^']*'|[^';])*)\)\s*;")
#: Curves in space, and what places them.
CURVES = {
    "LINE",
    "CIRCLE",
    "ELLIPSE",
    "B_SPLINE_CURVE_WITH_KNOTS",
    "SURFACE_CURVE",
    "SEAM_CURVE",
    "AXIS2_PLACEMENT_3D",
}


def step_text(shape: cq.Shape, folder: Path) -> str:
    """A shape as the text of a STEP file."""
    path = folder / "exact.step"
    writer = STEPControl_Writer()
    assert writer.Transfer(shape.wrapped, STEPControl_AsIs) == IFSelect_RetDone
    assert writer.Write(str(path)) == IFSelect_RetDone
    return path.read_text()


def faces_in(text: str) -> int:
    """How many records are faces with a surface."""
    return len(re.findall(r"=\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\(", text))


def loosened(text: str, size_mm: float, seed: int, bent: bool = False) -> str:
    """The same file with every edge's curve, and every vertex, moved by this much in a direction of its own.

    Where they are `bent`, every pole of a curve moves by itself, so that closed edges come open.
    """
    rng = np.random.default_rng(seed)
    records = {int(m[1]): (m[2], m[3]) for m in RECORD.finditer(text)}

    def points_of(label: int) -> Iterator[int]:
        kind, arguments = records[label]
        if kind == "CARTESIAN_POINT":
            yield label
        elif kind in CURVES:
            own = re.findall(r"#(\d+)", arguments)
            for other in own[:1] if kind in {"SURFACE_CURVE", "SEAM_CURVE"} else own:
                if int(other) in records:
                    yield from points_of(int(other))

    moved: dict[int, np.ndarray] = {}
    for kind, arguments in records.values():
        if kind == "EDGE_CURVE":
            start, end, curve = (int(one) for one in re.findall(r"#(\d+)", arguments)[:3])
            groups = [list(points_of(curve))]
            groups += [[int(re.findall(r"#(\d+)", records[v][1])[0])] for v in (start, end)]
            for group in [[label] for one in groups for label in one] if bent else groups:
                step = rng.normal(size=3)
                step *= size_mm / np.linalg.norm(step)
                for label in group:
                    moved.setdefault(label, step)

    def written(match: re.Match[str]) -> str:
        label = int(match[1])
        if label not in moved or match[2] != "CARTESIAN_POINT":
            return match[0]
        at = np.array([float(x) for x in re.findall(r"[-+]?\d[\d.]*(?:E[-+]?\d+)?", match[3].split("(")[1])])
        return f"#{label} = CARTESIAN_POINT('',({','.join(f'{x:.12E}' for x in at + moved[label])}));"

    return RECORD.sub(written, text)
