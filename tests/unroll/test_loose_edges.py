"""Edges that stand off their surfaces, as other programs write them: what is laid, what is not, and how well.

The exact solid is the yardstick: the same faces are laid, and every edge is as long but for the gap.
"""

import math
from pathlib import Path

import cadquery as cq
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
from step_text import loosened, step_text

from shellparts.build import foreign_reader
from shellparts.unroll.outline import FaceReport

PARTS = {
    "cylinder": lambda: cq.Workplane().cylinder(60, 20),
    "drilled cylinder": lambda: cq.Workplane().cylinder(80, 20).cut(cq.Workplane("YZ").cylinder(100, 8)),
    "drilled cone": lambda: cq.Workplane(cq.Solid.makeCone(30, 10, 50)).cut(
        cq.Workplane("XZ").cylinder(100, 4).translate((0, 0, 20))
    ),
    "apex with a notch in the base": lambda: cq.Workplane(cq.Solid.makeCone(40, 0, 70)).cut(
        cq.Workplane().box(20, 20, 200).translate((40, 0, 0))
    ),
    "apex with a slot across the base": lambda: cq.Workplane(cq.Solid.makeCone(40, 0, 70)).cut(
        cq.Workplane().box(200, 10, 20)
    ),
    "apex with a quarter off the base": lambda: cq.Workplane(cq.Solid.makeCone(40, 0, 70)).cut(
        cq.Workplane().box(60, 60, 20).translate((30, 30, 0))
    ),
    "cylinder cut aslant": lambda: (
        cq.Workplane()
        .cylinder(80, 20)
        .cut(cq.Workplane().box(200, 200, 40).rotate((0, 0, 0), (1, 0, 0), 25).translate((0, 0, 50)))
    ),
    "plate": lambda: cq.Workplane().box(80, 60, 8).faces(">Z").workplane().rarray(18, 18, 4, 3).hole(7),
    "extruded spline": lambda: (
        cq.Workplane()
        .moveTo(0, 0)
        .spline([(20, 15), (45, 8), (60, 30)], includeCurrent=True)
        .lineTo(60, -10)
        .lineTo(0, -10)
        .close()
        .extrude(25)
        .faces(">Z")
        .workplane(origin=(30, 0))
        .hole(5)
    ),
    "ball on a block": lambda: (
        cq.Workplane()
        .box(40, 40, 20)
        .union(cq.Workplane().sphere(15).translate((0, 0, 10)))
        .edges("|Z")
        .fillet(4)
    ),
    "rounded cylinder": lambda: cq.Workplane().cylinder(30, 20).edges(">Z").fillet(5),
    "saddle": lambda: cq.Workplane(
        cq.Solid.extrudeLinear(
            cq.Face.makeNSidedSurface(
                [
                    cq.Edge.makeSpline([cq.Vector(0, 0, 0), cq.Vector(20, 0, 8), cq.Vector(40, 0, 0)]),
                    cq.Edge.makeSpline([cq.Vector(40, 0, 0), cq.Vector(40, 20, -8), cq.Vector(40, 40, 0)]),
                    cq.Edge.makeSpline([cq.Vector(40, 40, 0), cq.Vector(20, 40, 8), cq.Vector(0, 40, 0)]),
                    cq.Edge.makeSpline([cq.Vector(0, 40, 0), cq.Vector(0, 20, -8), cq.Vector(0, 0, 0)]),
                ],
                [],
            ),
            cq.Vector(0, 0, 5),
        )
    ),
}


def surveyed(text: str, folder: Path, tolerance_mm: float = 0.5) -> tuple[FaceReport, ...]:
    path = folder / "loose.step"
    path.write_text(text)
    return foreign_reader.surveyed(path, tolerance_mm).reports


def lengths(report: FaceReport) -> list[float]:
    assert report.outline is not None
    return sorted(edge.length_mm for loop in report.outline.loops for edge in loop.edges)


@pytest.mark.parametrize("part", PARTS)
def test_every_developable_face_is_laid_and_no_curved_one(part, tmp_path):
    text = step_text(PARTS[part]().val(), tmp_path)
    exact = surveyed(text, tmp_path)
    for seed, size in enumerate((1e-4, 1e-3, 1e-2)):
        loose = surveyed(loosened(text, size, seed), tmp_path)
        assert [r.outline is None for r in loose] == [r.outline is None for r in exact]
        assert [r.developable for r in loose] == [r.developable for r in exact]
        for one, true in zip(loose, exact, strict=True):
            if one.outline is None:
                continue
            # Edges and vertices were moved each by itself; the kernel draws intersections only to some micrometres.
            assert one.outline.edge_gap_mm <= 6.0 * size + 5e-3
            allowed = 2.0 * max(size, one.outline.edge_gap_mm)
            if (
                "apex" in part
            ):  # an arc that slides towards the apex by the move is shorter by up to a full turn of it
                allowed += 2.0 * math.pi * size
            assert lengths(one) == pytest.approx(lengths(true), abs=allowed)
            assert one.closure_mm <= max(1e-3, 2.0 * one.outline.edge_gap_mm)
            assert one.flat_area_mm2 == pytest.approx(true.flat_area_mm2, abs=4 * allowed * true.perimeter_mm)


@pytest.mark.parametrize(("size", "seed"), [(1e-4, 0), (1e-2, 1), (5e-2, 2)])
@pytest.mark.parametrize("part", ["flange", "extruded spline", "drilled cylinder"])
def test_edges_whose_every_pole_has_moved(part, size, seed, tmp_path):
    """All surfaces and edges as splines; closed edges come open, and turn 2 pi times as far as a pole moves."""
    parts = {"flange": lambda: cq.Workplane().circle(60).circle(20).extrude(12).faces(">Z").workplane()
             .polarArray(48, 0, 360, 5).hole(9), **PARTS}  # fmt: skip
    splines = cq.Shape.cast(BRepBuilderAPI_NurbsConvert(parts[part]().val().wrapped).Shape())
    text = step_text(splines, tmp_path)
    exact = surveyed(text, tmp_path)
    loose = surveyed(loosened(text, size, seed, bent=True), tmp_path)
    assert len(loose) == len(exact)
    for one, true in zip(loose, exact, strict=True):
        assert one.outline is not None, one.reason
        allowed = 2.0 * math.pi * size + 2.0 * max(size, one.outline.edge_gap_mm)
        assert one.perimeter_mm == pytest.approx(true.perimeter_mm, abs=allowed * len(lengths(true)))
        assert one.flat_area_mm2 == pytest.approx(true.flat_area_mm2, abs=allowed * true.perimeter_mm)


def test_a_gap_larger_than_the_tolerance_is_refused_with_its_size(tmp_path):
    text = loosened(step_text(PARTS["drilled cylinder"]().val(), tmp_path), 0.2, 0)
    (side, *_) = (r for r in surveyed(text, tmp_path, 0.05) if r.surface == "cylinder")
    assert side.outline is None
    assert side.developable
    assert side.flat_area_mm2 is None
    assert "mm off it and at most 0.05 mm will do" in side.reason
    assert all(r.outline is not None for r in surveyed(text, tmp_path, 1.0))
