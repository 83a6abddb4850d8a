"""The whole sewn room under air, on a coarse mesh: its solids, its scale model, its pictures' arrangement."""

import cadquery as cq
import numpy as np
import pytest
import trimesh

from shellparts import Design, Doorway, Flap, Shell, build
from shellparts.base.errors import GeometryError, ParameterError
from shellparts.build.inflated import flat_pieces
from shellparts.inflate.closing import closed_form, rims
from shellparts.inflate.form import membrane
from shellparts.inflate.whole_room import whole_room
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.writers.picture_inflated import inflated_scene
from shellparts.writers.picture_scene import SEAM
from shellparts.writers.step import step_bytes
from shellparts.writers.step_inflated import inflated_step_bytes, lying_sheets


@pytest.fixture(scope="module")
def room(rooms):
    return rooms["lantern_room"]


def under_air(room):
    """The room under air, of coarse triangles."""
    flat = flat_pieces(room.body, room.outlines)
    return whole_room(flat, membrane(room.cloth), room.inflated.pressure_Pa, 450.0)


@pytest.fixture(scope="module")
def found(room):
    found = under_air(room)
    assert found.stands
    return found


@pytest.fixture(scope="module")
def form(found):
    return closed_form(found)


def test_the_form_is_watertight_and_holds_the_air_that_the_solver_counted(found, form):
    """Counted again with trimesh."""
    mesh = trimesh.Trimesh(form.nodes, form.triangles, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(form.volume_mm3, rel=1e-9)
    assert mesh.volume * 1e-9 == pytest.approx(found.figures.volume_m3, rel=1e-6)
    assert form.cloth == len(found.triangles)


def test_step_has_every_sheet_by_name_and_one_closed_solid(room, found, form, tmp_path):
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    path = tmp_path / "a.step"
    path.write_bytes(inflated_step_bytes(form, found.sheet_of, kinds, "lantern_room_inflated"))
    whole = cq.Assembly.load(str(path))
    names = {child.name for part in whole.children for child in (part, *part.children)}
    assert set(found.sheets) | {"cloth", "envelope"} <= names
    solids = cq.importers.importStep(str(path)).solids().vals()
    assert len(solids) == 1
    assert solids[0].isValid()
    assert solids[0].Volume() == pytest.approx(form.volume_mm3, rel=1e-6)
    assert len(solids[0].Faces()) == len(form.triangles)


@pytest.mark.parametrize("sewn_on", [True, False])
def test_step_has_the_ground_flaps_too(sewn_on, tmp_path):
    """Names as sewn and names under air, each read back."""
    design = Design(
        name="flapped",
        shell=Shell(panels=7, across=3000, height=2400, wall=900),
        doorway=Doorway(width=800, height=1500, length=1000),
        flap=Flap(depth=300, sewn_on=sewn_on),
    )
    room = build(design, fan_from_label("example fan", "0.8 m3/s", 400))
    found = under_air(room)
    assert found.stands
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    lying = lying_sheets(room.body, found.sheets)
    names = {}
    for file, content in {
        "sewn": step_bytes(room.body, "flapped"),
        "air": inflated_step_bytes(closed_form(found), found.sheet_of, kinds, "flapped", lying),
    }.items():
        (tmp_path / f"{file}.step").write_bytes(content)
        whole = cq.Assembly.load(str(tmp_path / f"{file}.step"))
        names[file] = {child.name for part in whole.children for child in (part, *part.children)}
        (solid,) = cq.importers.importStep(str(tmp_path / f"{file}.step")).solids().vals()
        assert solid.isValid()
    assert names["air"] == names["sewn"]
    flaps = [name for name in names["air"] if name.startswith("flap_")]
    assert bool(flaps) == sewn_on


def test_pictures_show_the_form_and_its_seams(room, found):
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    scene = inflated_scene(found, kinds)
    low, high = scene.points.min(axis=0), scene.points.max(axis=0)
    assert (low <= found.nodes.min(axis=0) + 1e-9).all() and (high >= found.nodes.max(axis=0) - 1e-9).all()
    shares = np.linspace(0.0, 1.0, len(found.triangles))
    mapped = inflated_scene(found, kinds, shares)
    assert mapped.colours.shape == mapped.points.shape
    # Every edge between two sheets, counted again by hand, is a line once.
    owners: dict[frozenset[int], set[int]] = {}
    for triangle, sheet in zip(found.triangles.tolist(), found.sheet_of.tolist(), strict=True):
        for a, b in ((0, 1), (1, 2), (2, 0)):
            owners.setdefault(frozenset((triangle[a], triangle[b])), set()).add(sheet)
    wanted = sum(len(sheets) == 2 for sheets in owners.values())
    assert len(mapped.lines[SEAM]) == len(scene.lines[SEAM]) == wanted > 100


def test_without_a_fan_nothing_can_be_blown_up():
    bare = build(Design(name="bare", shell=Shell(panels=8, across="3 m", height="2.4 m")))
    with pytest.raises(ParameterError, match="inflated form"):
        bare.with_air()


def test_rims_that_touch_are_refused():
    two = np.array([[0, 1, 2], [0, 3, 4]])
    with pytest.raises(GeometryError, match="touch each other"):
        rims(two)
