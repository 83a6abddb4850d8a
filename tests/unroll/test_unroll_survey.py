"""Surveys of machine-like parts, as built and as read back from STEP."""

import math

import cadquery as cq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRep import BRep_Builder
from OCP.TopoDS import TopoDS_Compound, TopoDS_Face

from shellparts.base.tolerances import TOLERANCES
from shellparts.unroll import survey

W = cq.Workplane
FLAT = {"plane", "cylinder", "cone", "extrusion"}
CURVED = {"sphere", "torus"}


def through_step(solid, folder):
    path = str(folder / "part.step")
    cq.exporters.export(W(obj=solid), path)
    return cq.importers.importStep(path).val()


def block():
    body = W().box(60, 40, 20).faces(">Z").workplane().rarray(14, 12, 3, 3).cboreHole(4, 7, 3)
    return body.edges("|Z").fillet(6).faces("<Z").chamfer(1).val()


def flange():
    body = (
        W()
        .circle(60)
        .extrude(12)
        .faces(">Z")
        .workplane()
        .circle(30)
        .extrude(40)
        .faces(">Z")
        .workplane()
        .hole(40)
    )
    return body.faces("<Z").workplane().polarArray(48, 0, 360, 5).hole(9).faces(">Z").edges().fillet(1).val()


def pipes():
    tube = W().circle(20).extrude(80, both=True).union(W("XZ").circle(8).extrude(60))
    return tube.union(W("XZ").transformed(rotate=(0, 30, 0)).circle(10).extrude(60)).val()


def cut_cone():
    cone = W(obj=cq.Solid.makeCone(20, 0, 40)).cut(W().box(60, 10, 100).translate((0, 18, 0)))
    return cone.cut(W().circle(4).extrude(60).translate((3, 2, 0))).val()


def lettering():
    return W().box(40, 20, 5).faces(">Z").workplane().text("A&8", 12, -2).val()


def turned():
    profile = (
        W("XZ")
        .moveTo(5, 0)
        .lineTo(20, 0)
        .lineTo(25, 10)
        .spline([(20, 18), (12, 25), (10, 35)], includeCurrent=True)
    )
    return profile.lineTo(5, 35).close().revolve(300).val()


def hollow():
    return W().box(50, 40, 30).edges("|Z").fillet(8).faces(">Z").shell(-2).val()


def thread():
    return W("XZ").center(15, 0).rect(2, 2).sweep(W(obj=cq.Wire.makeHelix(8, 24, 15)), isFrenet=True).val()


def sweeps():
    path = W().spline([(0, 0), (20, 10), (40, -5), (60, 20)])
    return W("YZ").rect(4, 3).sweep(path).val()


def loft():
    return W().polygon(6, 40).workplane(offset=30).polygon(6, 20).loft(ruled=True).val()


def spline_wall():
    body = (
        W().spline([(0, 0), (10, 12), (30, 8), (40, 20)]).lineTo(40, -10).lineTo(0, -10).close().extrude(30)
    )
    return body.cut(W("XZ").center(20, 15).circle(5).extrude(-60)).val()


def mirrored():
    body = W().box(10, 10, 10).edges(">Z").fillet(3).faces(">X").workplane().hole(3).mirror("YZ")
    return body.translate((1000, 2000, 3000)).val()


def assembly():
    parts = cq.Assembly()
    part = W().circle(5).extrude(9).cut(W("XZ").circle(2).extrude(10, both=True).translate((0, 0, 4)))
    for i in range(3):
        parts.add(part, loc=cq.Location(cq.Vector(30 * i, 10, 5), cq.Vector(1, 1, i), 25 * i))
    return parts.toCompound()


def ball():
    return W().sphere(20).cut(W().circle(8).extrude(60, both=True)).val()


PARTS = [
    block,
    flange,
    pipes,
    cut_cone,
    lettering,
    turned,
    hollow,
    thread,
    sweeps,
    loft,
    spline_wall,
    mirrored,
]
PARTS += [assembly, ball]


def check(reports):
    for report in reports:
        for value in (
            report.face_area_mm2,
            report.flat_area_mm2,
            report.perimeter_mm,
            report.closure_mm,
            report.turning_deficit_rad,
        ):
            assert value is None or math.isfinite(value)
        assert (report.outline is None) == bool(report.reason)
        if report.outline is not None:
            assert report.developable
            assert report.closure_mm <= TOLERANCES.closure_ratio * report.perimeter_mm
            assert report.flat_area_mm2 == pytest.approx(report.face_area_mm2, rel=1e-6)
            for loop in report.outline.loops:
                for edge in loop.edges:
                    assert edge.length_mm == pytest.approx(edge.solid_length_mm, rel=1e-6)
        if report.surface in CURVED:
            assert not report.developable and "not developable" in report.reason
        if report.surface in FLAT:
            assert report.outline is not None, report.reason


@pytest.mark.parametrize("make", PARTS, ids=lambda make: make.__name__)
def test_parts_and_their_step_files(make, tmp_path):
    solid = make()
    here, there = survey(solid), survey(through_step(solid, tmp_path))
    check(here)
    check(there)
    assert len(here) == len(there) == len(solid.Faces())
    assert sorted(report.developable for report in here) == sorted(report.developable for report in there)
    flat_here, flat_there = (sum(r.flat_area_mm2 for r in reports if r.outline) for reports in (here, there))
    assert flat_there == pytest.approx(flat_here, rel=1e-6)


def test_every_edge_is_numbered_in_the_body():
    """In a closed body every edge is walked twice, in opposite directions as seen from outside."""
    uses = {}
    for report in survey(block()):
        for loop in report.outline.loops if report.outline else ():
            for edge in loop.edges:
                uses.setdefault(edge.key, []).append(edge.forward)
    assert min(uses) >= 0
    assert all(sorted(walks) == [False, True] for walks in uses.values())


def test_progress_wraps_the_faces():
    seen = []

    def progress(faces):
        for face in faces:
            seen.append(face)
            yield face

    reports = survey(W().box(1, 2, 3).val(), progress)
    assert len(seen) == len(reports) == 6


def test_bad_faces_are_listed():
    """A face without a surface, and one without a boundary, are reported and nothing breaks."""
    builder, compound = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(compound)
    empty = TopoDS_Face()
    builder.MakeFace(empty)
    builder.Add(compound, empty)
    builder.Add(compound, W().box(1, 1, 1).faces(">Z").val().wrapped)
    reports = survey(compound)
    assert [bool(report.reason) for report in reports] == [True, False]
    assert reports[0].surface == "none" and reports[0].flat_area_mm2 is None


def test_nothing_gives_nothing():
    builder, compound = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(compound)
    assert survey(compound) == ()


angles, places = st.floats(-60, 60), st.floats(-6, 6)


@given(
    st.sampled_from(["box", "cylinder", "cone", "prism"]), st.floats(2.0, 5.0), angles, angles, places, places
)
@settings(max_examples=15, deadline=None, derandomize=True)
def test_random_cuts(tool, size, tilt, lean, x, y):
    """Cylinder and cone, cut by a tool at random: every plane, cylinder and cone that is left unrolls."""
    tools = {
        "box": lambda: cq.Solid.makeBox(2 * size, size, 80, cq.Vector(-size, -size / 2, -40)),
        "cylinder": lambda: cq.Solid.makeCylinder(size, 80, cq.Vector(0, 0, -40)),
        "cone": lambda: cq.Solid.makeCone(size, size / 3, 80, cq.Vector(0, 0, -40)),
        "prism": lambda: W().workplane(offset=-40).polygon(5, 2 * size).extrude(80).val(),
    }
    cutter = (
        tools[tool]()
        .rotate(cq.Vector(), cq.Vector(1, 0, 0), tilt)
        .rotate(cq.Vector(), cq.Vector(0, 1, 0), lean)
    )
    cutter = cutter.translate(cq.Vector(x, y, 0))
    for body in (
        cq.Solid.makeCylinder(8, 24, cq.Vector(0, 0, -12)),
        cq.Solid.makeCone(10, 4, 24, cq.Vector(0, 0, -12)),
    ):
        left = body.cut(cutter)
        for report in survey(left):
            assert report.surface in FLAT and report.developable, report.reason
            if report.outline is None:
                assert "edges in space stand" in report.reason or "leaves the surface" in report.reason, (
                    report.reason
                )
            else:
                assert report.closure_mm <= TOLERANCES.closure_ratio * report.perimeter_mm
