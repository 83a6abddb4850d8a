"""The reader of STEP files that is not the kernel: what it finds in a box known by hand, and in one with a fault."""

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from read_steps import StepFile
from step_text import step_text

SIDES = (30.0, 40.0, 50.0)


@pytest.fixture(scope="module")
def text(tmp_path_factory):
    """A box off the origin, whose faces are spline surfaces."""
    box = cq.Workplane().box(*SIDES).translate((7.0, -11.0, 13.0)).val()
    splines = cq.Shape.cast(BRepBuilderAPI_NurbsConvert(box.wrapped, True).Shape())
    return step_text(splines, tmp_path_factory.mktemp("step"))


def read(text, folder):
    path = folder / "a.step"
    path.write_text(text)
    file = StepFile(path)
    ((kind, (shell,)),) = file.shapes().values()
    return file, kind, shell


def test_a_box_has_its_volume_corners_and_unit(text, tmp_path):
    file, kind, shell = read(text, tmp_path)
    assert kind == "MANIFOLD_SOLID_BREP" and shell.closed and shell.euler() == 2
    assert len(shell.faces) == 6 and len(shell.uses()) == 24 and set(shell.uses().values()) == {1}
    assert "B_SPLINE_SURFACE_WITH_KNOTS" in text
    assert shell.volume_mm3() == pytest.approx(np.prod(SIDES), rel=1e-9)
    assert shell.gap_mm() <= 1e-9 and shell.broken_loops() == 0
    assert set(file.lengths()) == {(".MILLI.", ".METRE.")}
    assert file.dangling() == set()


def test_faults_are_seen(text, tmp_path):
    metres, _, _ = read(text.replace("SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)"), tmp_path)
    assert set(metres.lengths()) == {("$", ".METRE.")}
    at = text.index("ORIENTED_EDGE")
    end = text.index(");", at)
    turned = text[at:end].replace(".T.", ".X.").replace(".F.", ".T.").replace(".X.", ".F.")
    _, _, shell = read(text[:at] + turned + text[end:], tmp_path)
    assert shell.broken_loops() == 1 and max(shell.uses().values()) == 2
    at = text.index("=", text.index("CARTESIAN_POINT") - 3)
    label = text[text.rindex("#", 0, at) : at].strip()
    line = text[text.rindex("#", 0, at) : text.index(";", at) + 1]
    assert read(text.replace(line, ""), tmp_path)[0].dangling() == {label}
