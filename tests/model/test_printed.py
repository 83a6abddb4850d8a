"""The scale model: every part prints as it is, every opening is open, the parts go together with play."""

import numpy as np
import pytest
import shapely
import trimesh
from manifold3d import Manifold
from model_rooms import NAMES, room_of
from scipy.spatial import ConvexHull
from whole_ranges import design_of, words_of

from shellparts.base.errors import ParameterError, ShellpartsError
from shellparts.body.assembly import assemble
from shellparts.build.inflated import flat_pieces
from shellparts.inflate.form import membrane
from shellparts.inflate.whole_room import whole_room
from shellparts.model.beds import on_beds
from shellparts.model.heads import printable_hole
from shellparts.model.printed import print_room
from shellparts.model.proof import corners, holes_in, overhangs, thicknesses
from shellparts.model.shapes import arrays
from shellparts.model.skin import skin_under_air
from shellparts.parameters.printer import Printer
from shellparts.writers.mesh import skin_of
from shellparts.writers.model_files import write_model

SMALL, LARGE = Printer(), Printer(width=220, depth=220, height=250)


@pytest.fixture(scope="module")
def printed():
    return room_of("lantern_room").scale_model()


def far_from_ends(parts, name):
    """How thick a tube is where it is not about to end: clear of the shell that its lip goes into, a millimetre above
    the floor, and as far from its outer end."""
    tube, shell = parts[name], parts["shell"]
    outside = ConvexHull(arrays(shell.in_place)[0]).equations
    thickness, origins = thicknesses(tube.solid)
    at = origins @ tube.place[:, :3].T + tube.place[:, 3]
    clear = (at @ outside[:, :3].T + outside[:, 3]).max(axis=1) > 1.0
    clear &= (at[:, 2] > 1.0) & (origins[:, 2] > 1.0)
    assert clear.mean() > 0.8
    return thickness[clear]


def check(printed, openings):
    """Everything that a printed model is held to."""
    printer = printed.printer
    parts = {part.name: part for part in printed.parts}
    for part in printed.parts:
        nodes, triangles = part.mesh
        mesh = trimesh.Trimesh(
            nodes.astype(np.float32), triangles
        )  # as a file keeps it: equal corners are one
        assert len(mesh.faces) == len(triangles), part.name
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0.0, part.name
        assert mesh.bounds[0, 2] == pytest.approx(0.0, abs=1e-6)
        assert len(part.solid.decompose()) == 1, part.name
        width, depth, height = part.size_mm
        assert max(width, depth) <= printer.width and height <= printer.height
        for one in overhangs(part.solid, printer.steepest_rad, printer.nozzle / 2.0):
            assert one.anchored and one.span_mm <= 10.0, (part.name, one)
        leaning = corners(part.solid, printer.steepest_rad, 1.5 * printer.nozzle)
        assert not leaning, (part.name, leaning)
    assert holes_in(parts["shell"].solid) == openings
    # Tubes open at both ends: a sleeve is a ring, a tunnel an arch.
    assert parts["sleeve"].solid.genus() == 1 and parts["tunnel"].solid.genus() == 0
    for name in ("shell", "floor"):
        assert np.quantile(thicknesses(parts[name].solid)[0], 0.01) >= printer.wall_mm - 0.01, name
    for name in ("tunnel", "sleeve"):
        assert np.quantile(far_from_ends(parts, name), 0.01) >= printer.wall_mm - 0.005, name
    for one, other in (("shell", "tunnel"), ("shell", "sleeve"), ("floor", "floor_tunnel")):
        gap = parts[one].in_place.min_gap(parts[other].in_place, 1.0)
        assert 0.8 * printer.play <= gap <= printer.play + 0.05, (one, other, gap)
    lifted = parts["shell"].in_place.translate([0.0, 0.0, 0.5])  # else it touches the floor that it stands on
    assert lifted.min_gap(parts["floor"].in_place, 1.0) == pytest.approx(printer.play, abs=0.05)
    names = list(parts)
    for i, one in enumerate(names):
        for other in names[i + 1 :]:
            assert (parts[one].in_place ^ parts[other].in_place).volume() < 0.05, (one, other)


def test_every_part_prints_as_it_is_and_they_go_together(printed):
    assert printed.scale == 30
    check(printed, 2)
    assert {"shell", "tunnel", "sleeve", "curtain_left", "curtain_right", "floor", "floor_tunnel"} == {
        part.name for part in printed.parts
    }


def test_a_doorway_can_be_walked_through_and_a_filled_one_is_found(printed):
    """Watertight is no proof: the shell with its doorway closed again is watertight too."""
    shell = printed.parts[0].solid
    plug = Manifold.cube([40.0, 34.0, 57.0]).translate([40.0, -17.0, 0.0])
    assert (shell + plug).genus() == shell.genus() and holes_in(shell + plug) == holes_in(shell) - 1


def test_the_shell_is_the_room_at_its_scale(printed):
    """The panels' middles stand where the design says, and people to scale among them."""
    room = room_of("lantern_room")
    high = printed.parts[0].size_mm[2]
    assert high * printed.scale == pytest.approx(room.body.figures.height_mm, abs=1.0 * printed.scale)
    floor = next(part for part in printed.parts if part.name == "floor")
    assert max(printed.people_mm) == 1700.0
    assert floor.size_mm[2] == pytest.approx(1700.0 / printed.scale + 1.2 - 0.05, abs=0.02)


def test_an_overhang_is_found_and_a_bridge_told_from_a_ledge():
    post = Manifold.cube([4.0, 4.0, 20.0])
    ledge = post + Manifold.cube([14.0, 4.0, 2.0]).translate([0.0, 0.0, 18.0])
    (found,) = overhangs(ledge, np.radians(50.0), 0.2)
    assert found.lean_deg == pytest.approx(90.0) and not found.anchored
    assert found.span_mm == pytest.approx(20.0, abs=0.2)  # ten beyond the post
    (bridge,) = overhangs(ledge + post.translate([10.0, 0.0, 0.0]), np.radians(50.0), 0.2)
    assert bridge.anchored and bridge.span_mm == pytest.approx(6.0, abs=0.3)
    cone = Manifold.cylinder(10.0, 1.0, 13.0, 64)  # 50.2 degrees
    assert overhangs(cone, np.radians(50.0), 0.2) and not overhangs(cone, np.radians(51.0), 0.2)


def test_a_corner_may_lean_more_than_its_faces():
    """A pyramid on its tip: faces of 42 degrees, corners of 52; on its base nothing overhangs."""
    tip = Manifold.hull_points(np.array([(0, 0, 0), *((x, y, 10) for x in (-9, 9) for y in (-9, 9))], float))
    assert not overhangs(tip, np.radians(50.0), 0.2)
    found = corners(tip, np.radians(50.0), 0.5)
    assert [one.lean_deg for one in found] == pytest.approx([np.degrees(np.arctan(0.9 * 2**0.5))] * 4)
    assert not corners(tip, np.radians(52.0), 0.5) and not corners(tip.rotate([180, 0, 0]), 0.5, 0.5)
    # A keel along a wall, all but level: a little one is carried by the wall beside it, a large one is not.
    wall = Manifold.cube([40.0, 4.0, 40.0])
    for out, leans in ((0.5, False), (3.0, True)):
        keel = np.array([(0, 4 + out, 20), (0, 3, 22 + out), (0, 4 + 2 * out, 22 + out)], float)
        body = wall + Manifold.hull_points(
            np.vstack([keel + np.array(end) for end in ((2, 0, 0), (38, 0, 1))])
        )
        assert bool(corners(body, np.radians(50.0), 0.6)) is leans, out
    # A wall that leans, pierced by a hole with leaning shoulders: the case that slicing programs see.
    wall = Manifold.hull_points(
        np.array([(x, y, z) for y in (-25, 25) for x, z in ((0, 0), (2, 0), (-40, 40), (-38, 40))], float)
    )
    hole = Manifold.hull_points(
        np.array([(x, y, z) for x in (-60, 9) for y, z in ((-12, 9), (12, 9), (0, 21))], float)
    )
    assert {round(one.lean_deg) for one in corners(wall - hole, np.radians(50.0), 0.5)} == {55}


def test_thickness_is_measured_inward():
    box = Manifold.cube([20.0, 20.0, 20.0]) - Manifold.cube([17.0, 17.0, 30.0]).translate([1.5, 1.5, -1.0])
    assert np.quantile(thicknesses(box)[0], 0.01) == pytest.approx(1.5, abs=1e-3)


def test_a_round_hole_gets_a_short_flat_head():
    ring = shapely.Point(0.0, 0.0).buffer(7.0, quad_segs=64)
    hole = printable_hole(ring, np.radians(50.0), 10.0, 0.5)
    flat = [x for x, y in hole.exterior.coords if y > hole.bounds[3] - 1e-6]
    assert 0.0 < np.ptp(flat) <= 10.0 and ring.buffer(0.51).covers(hole)
    assert hole.covers(ring.buffer(-0.01))


def test_a_scale_that_does_not_fit_is_refused_by_the_part():
    room = room_of("lantern_room")
    with pytest.raises(ParameterError, match=r"^shell of the scale model at 1:20 is .*172 x 172 x 178 mm"):
        room.scale_model(scale=20)
    with pytest.raises(ParameterError, match=r"^scale of the model is 0"):
        room.scale_model(scale=0)


def test_parts_lie_on_beds_beside_each_other(printed):
    places = on_beds(printed.parts, printed.printer)
    boxes = []
    for part, place in zip(printed.parts, places, strict=True):
        x, y, _ = part.size_mm[::1] if not place.turned else (part.size_mm[1], part.size_mm[0], 0.0)
        boxes.append(
            (place.bed, shapely.box(place.x - x / 2, place.y - y / 2, place.x + x / 2, place.y + y / 2))
        )
    bed = shapely.box(0.0, 0.0, 180.0, 180.0)
    for i, (number, box) in enumerate(boxes):
        assert bed.covers(box)
        assert all(other != number or box.distance(there) >= 5.0 for other, there in boxes[:i])


def test_files_are_named_coloured_closed_and_the_same_every_time(printed, tmp_path):
    again = room_of("lantern_room").scale_model()
    for folder, one in (("a", printed), ("b", again)):
        (tmp_path / folder).mkdir()
        write_model(one, "room", tmp_path / folder)
    files = sorted(path.name for path in (tmp_path / "a").iterdir())
    assert files == sorted(["room_1-30.3mf", *(f"room_1-30_{part.name}.stl" for part in printed.parts)])
    for name in files:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name
    for part in printed.parts:
        raw = (tmp_path / "a" / f"room_1-30_{part.name}.stl").read_bytes()
        assert not raw.startswith(b"solid")
        read = trimesh.load(tmp_path / "a" / f"room_1-30_{part.name}.stl")
        assert read.is_watertight and read.volume == pytest.approx(part.solid.volume(), rel=1e-3), part.name
    scene = trimesh.load(tmp_path / "a" / "room_1-30.3mf")
    assert set(scene.geometry) == {part.name for part in printed.parts}
    assert scene.bounds[0, 2] == pytest.approx(0.0, abs=1e-4)


@pytest.mark.sweep
@pytest.mark.parametrize("printer", [SMALL, LARGE], ids=["180", "220"])
@pytest.mark.parametrize("name", NAMES)
def test_every_model_prints_on_both_beds(name, printer):
    printed = room_of(name).scale_model(printer=printer)
    check(printed, 2)
    scales = {"lantern_room": (30, 25), "tide_dome": (40, 30), "orchard_pavilion": (30, 25)}
    assert printed.scale == scales[name][printer is LARGE]


@pytest.mark.sweep
@pytest.mark.parametrize("seed", [0, 3, 4, 6, 16])
def test_a_random_room_prints_or_says_why_not(seed):
    design = design_of(words_of(seed))
    try:
        printed = print_room(skin_of(assemble(design)), design, SMALL)
    except ShellpartsError as error:
        assert "too narrow to be hollow" in str(error)
        return
    shell = printed.parts[0].solid
    assert holes_in(shell) == len(design.openings)
    for part in printed.parts:
        assert len(part.solid.decompose()) == 1
        for one in overhangs(part.solid, SMALL.steepest_rad, SMALL.nozzle / 2.0):
            assert one.span_mm <= 10.0, part.name  # what is not anchored is told as a warning
    assert np.quantile(thicknesses(shell)[0], 0.01) >= 0.9 * SMALL.wall_mm


@pytest.mark.sweep
@pytest.mark.parametrize(("name", "printer"), [("lantern_room", SMALL), ("tide_dome", LARGE)])
def test_a_room_under_air_prints_too(name, printer):
    room = room_of(name)
    flat = flat_pieces(room.body, room.outlines)
    found = whole_room(flat, membrane(room.cloth), room.inflated.pressure_Pa, 300.0)
    assert found.stands
    kinds = {name: room.body.seams.kinds[name] for name in found.sheets}
    check(print_room(skin_under_air(found, kinds), room.design, printer), 2)
