"""The drawing of a room in its hall: measured again, from the pages and from the file for CAD."""

import math
import re

import ezdxf
import numpy as np
import pytest
import shapely
from attrs import evolve
from text_boxes import none_overlap, text_box
from whole_ranges import design_of, words_of

from shellparts.base.errors import ParameterError
from shellparts.base.units import to_mm
from shellparts.body import assemble
from shellparts.build.shown import in_hall
from shellparts.drawing.arrangement_page import arrangement_pages
from shellparts.drawing.dimensions import in_dimension_rows
from shellparts.drawing.hall import FAN_DEEP_MM, bag_places, bags_on_plan
from shellparts.drawing.sightlines import View, projected, strokes_seen
from shellparts.drawing.strokes import Layer
from shellparts.drawing.styles import ARRANGEMENT_LAYERS
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Printing, Shell
from shellparts.writers.arrangement_files import write_arrangement
from shellparts.writers.dxf import write_dxf
from shellparts.writers.pdf import write_pdf

NAMES = ("lantern_room", "orchard_pavilion")
#: Two ways out across from each other, two fans, one of them off the axes.
HALL = Design(
    name="two_doors",
    shell=Shell(panels=16, across=6400, height=3900, wall=2000, profile="straight"),
    openings=(
        Doorway(width=1100, height=1900, length=1600, head="gabled"),
        Doorway(width=900, height=1800, length=1400, head="flat", at=9),
        Sleeve(width=450, depth=450, length=1000, height=500, panel=5),
        Sleeve(diameter=400, length=1100, height=600, panel=12, slope=15),
    ),
    flap=Flap(depth=300),
)


@pytest.fixture(scope="module")
def halls(rooms):
    """Rooms in their halls by name, with bags."""
    made = {name: in_hall(rooms[name].design, rooms[name].body, rooms[name].known.air) for name in NAMES}
    return {**made, "two_doors": evolve(in_hall(HALL, assemble(HALL), None), bags=(14, 2.0))}


@pytest.fixture(scope="module")
def drawn(halls):
    """Pages and drawing of each room, made once."""
    return {name: arrangement_pages(hall) for name, hall in halls.items()}


def measured_again(found, folder):
    """Measured length and words of every dimension in the file for CAD, measured by ezdxf from its points."""
    write_dxf(found.drawing, folder / "arrangement.dxf", ARRANGEMENT_LAYERS, found.dimensions)
    document = ezdxf.readfile(folder / "arrangement.dxf")
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    found = document.modelspace().query("DIMENSION")
    assert {one.dxf.layer for one in found} == {"DIMENSION"}
    return [(one.get_measurement(), one.dxf.text) for one in found]


def read(words):
    """A length as the tape shows it, back in millimetres."""
    return to_mm(words if re.search("['\"]", words) else float(words))


def has(measured, value):
    return any(abs(length - value) < 0.05 for length, _ in measured)


@pytest.mark.parametrize("name", [*NAMES, "two_doors"])
def test_dimensions_measured_from_the_dxf_are_those_of_the_design(name, halls, drawn, tmp_path):
    hall, measured = halls[name], measured_again(drawn[name], tmp_path)
    shell, finest = hall.design.shell, 0.5 if hall.design.marking.tape.value == "metric" else 25.4 / 32
    for length, words in measured:
        assert abs(read(words) - length) <= finest + 1e-6, words
    assert has(measured, float(shell.mid.top[1]))
    for opening in hall.design.openings:
        if opening.way_out is not None:
            assert has(measured, opening.way_out.width)
    door = hall.design.openings[0]
    assert has(measured, door.height) and has(measured, door.length)


def test_the_floor_is_that_of_the_corners_by_hand(drawn, rooms, tmp_path):
    """Corners of a regular polygon whose diameter the summary tells; the tunnel and the fan's sleeve beyond it."""
    room = rooms["lantern_room"]
    measured = measured_again(drawn["lantern_room"], tmp_path)
    across, design = room.body.figures.base_diameter_mm, room.design
    turns = (np.arange(12) + 0.5) * math.pi / 6
    wide = np.ptp(across / 2 * np.sin(turns))
    assert has(measured, wide) and has(measured, room.body.figures.height_mm)
    door, sleeve = design.openings
    slope = math.radians(10.0)
    low = sleeve.length * math.cos(slope) + sleeve.radius * math.sin(slope)
    end = wide / 2 + max(low, sleeve.length * math.cos(slope) - sleeve.radius * math.sin(slope))
    assert has(measured, wide / 2 + door.length + end)
    fan = end + FAN_DEEP_MM * math.cos(slope)
    assert has(measured, wide / 2 + door.length + fan + 2000.0) and has(measured, wide + 2000.0)
    assert has(measured, sleeve.height)


def centred(label):
    """The same label about its middle, by a real font."""
    long = text_box(evolve(label, angle=0.0)).bounds
    along = np.array([math.cos(label.angle), math.sin(label.angle)])
    return evolve(label, at=label.at + (0.5 - label.align) * (long[2] - long[0]) * along)


def check_pages(pages):
    """Words lie on the paper, and on no other words; words of dimensions on no line of the room."""
    for page in pages:
        labels = [centred(label) for one in page.shown for label in one.drawing.labels]
        assert none_overlap(labels), [label.text for label in labels]
        paper = shapely.box(5.0, 5.0, page.width_mm - 5.0, page.height_mm - 5.0)
        assert [label.text for label in labels if not paper.contains(text_box(label))] == []
        assert min(label.height_mm for label in labels) >= 2.0
        for one in page.shown:
            low, high = one.drawing.box
            assert low.min() >= 9.0 and high[0] <= page.width_mm - 9.0 and high[1] <= page.height_mm - 9.0
            room = [
                s for s in one.drawing.strokes if s.layer in {Layer.SEEN, Layer.CUT_THROUGH, Layer.HIDDEN}
            ]
            lines = shapely.union_all([shapely.LineString(s.points) for s in room])
            for label in one.drawing.labels:
                if label.layer is Layer.DIMENSION:
                    assert not text_box(label).intersects(lines), label.text


def test_nothing_overlaps_and_nothing_leaves_the_paper(drawn):
    for found in drawn.values():
        check_pages(found.pages)


def test_views_on_the_pages_measure_true_at_the_scale_that_is_said(halls, drawn):
    for name, found in drawn.items():
        top = float(halls[name].design.shell.mid.top[1])
        (foot,) = (
            one
            for one in found.pages[-1].shown
            if any("In its hall" in label.text for label in one.drawing.labels)
        )
        scale = float(re.search(r"1 to (\d+)", " ".join(label.text for label in foot.drawing.labels))[1])
        heights = []
        for one in found.pages[-1].shown[:-1]:
            seen = np.concatenate(
                [s.points for s in one.drawing.strokes if s.layer in {Layer.SEEN, Layer.CUT_THROUGH}]
            )
            heights.append(np.ptp(seen[:, 1]) * scale)
        assert max(heights) == pytest.approx(top, abs=0.5)
        bars = [s.points for s in foot.drawing.strokes if s.layer is Layer.BAR and s.closed]
        long = np.ptp(np.concatenate(bars)[:, 0]) * scale
        told = max(float(label.text) for label in foot.drawing.labels if re.fullmatch(r"[\d.]+", label.text))
        unit = 304.8 if halls[name].design.marking.tape.value == "imperial" else 1000.0
        assert long == pytest.approx(told * unit, rel=1e-9)


def test_the_paper_is_the_workshops(halls, drawn):
    """A4 and letter lie on their sides, two pages; A3 takes all views on one (sizes: ISO 216, ANSI Y14.1)."""
    for name, size in (("lantern_room", (297.0, 210.0)), ("orchard_pavilion", (279.4, 215.9))):
        assert [(page.width_mm, page.height_mm) for page in drawn[name].pages] == [size] * 2
    hall = halls["lantern_room"]
    found = arrangement_pages(evolve(hall, design=evolve(hall.design, printing=Printing(paper="A3"))))
    assert [(page.width_mm, page.height_mm) for page in found.pages] == [(420.0, 297.0)]
    check_pages(found.pages)


def total(strokes, layer):
    return sum(shapely.LineString(s.points).length for s in strokes if s.layer is layer)


def test_what_lies_behind_cloth_is_broken_and_what_does_not_is_not(halls):
    """The lantern room: its fan's sleeve is behind it, its flaps are inside, its doorway in front."""
    hall = halls["lantern_room"]

    def drawn_lines(view, *names):
        edges = {name: hall.edges[name] for name in names} | {
            "sleeve": hall.edges["sleeve"],
            "tunnel": hall.edges["tunnel"],
        }
        return strokes_seen(hall.design, hall.courses, edges, view)

    front = drawn_lines(View.FRONT)
    seen = shapely.union_all([shapely.LineString(s.points) for s in front if s.layer is Layer.SEEN])
    door = hall.design.openings[0]
    frame = shapely.LineString([(-475, 0), (-475, door.eaves)]).union(
        shapely.LineString([(475, 0), (475, door.eaves)])
    )
    assert seen.buffer(2.0).contains(frame)
    radius = hall.design.openings[1].radius
    inside = shapely.box(-radius - 5, 5, radius + 5, 700)
    assert not seen.intersects(inside)
    hidden = shapely.union_all([shapely.LineString(s.points) for s in front if s.layer is Layer.HIDDEN])
    assert hidden.intersection(inside).length > 2 * math.pi * radius
    plan = strokes_seen(hall.design, hall.courses, hall.edges, View.PLAN)
    inner = 2.4e3 * math.cos(math.pi / 12) - 300.0  # the flaps' inner edges, between panels 3 and 5
    flap = shapely.LineString([(-400, -inner), (400, -inner)])
    broken = shapely.union_all([shapely.LineString(s.points) for s in plan if s.layer is Layer.HIDDEN])
    assert broken.buffer(2.0).contains(flap)


def test_a_section_shows_what_is_cut_and_nothing_of_the_near_half(halls):
    hall = halls["orchard_pavilion"]  # its sleeve stands in the half that is cut away
    strokes = strokes_seen(hall.design, hall.courses, hall.edges, View.SECTION)
    assert total(strokes, Layer.HIDDEN) == 0.0
    (ring,) = (shapely.Polygon(s.points) for s in strokes if s.layer is Layer.CUT_THROUGH)
    shell, door = hall.design.shell, hall.design.openings[0]
    z = np.linspace(0.0, float(shell.mid.top[1]), 4000)
    # A seam in front, and for ten panels one behind as well; the tunnel from where its head leaves the shell.
    area = float(np.trapezoid(2 * shell.seam.radius_at(z), z))
    up = np.linspace(0.0, door.height, 4000)
    area += float(np.trapezoid(door.end(shell) - shell.seam.radius_at(up), up))
    assert ring.area == pytest.approx(area, rel=2e-4)
    sleeve = hall.points_of(["sleeve"])
    assert (sleeve[:, 1] > 0).all()
    beyond = projected(View.SECTION, sleeve)[:, 0].max()
    assert max(float(s.points[:, 0].max()) for s in strokes) < beyond - 500.0


def test_bags_lie_at_equal_steps_on_the_flap_and_in_no_doorway(halls):
    for hall in halls.values():
        places = np.array(bag_places(hall))
        assert len(places) == hall.bags[0]
        everywhere = bags_on_plan(hall)
        assert len(everywhere) == hall.bags[0] + hall.tunnel_bags
        ways = [one for one in hall.openings if one[0].way_out is not None]
        for opening, tube in ways:
            for bag in everywhere[hall.bags[0] :]:  # along the walls, and people walk between them
                local = tube.local(np.column_stack([bag * -1.0, np.zeros(len(bag))]))
                if (local[:, 2] > 0.0).all():
                    across = np.abs(local[:, 0])
                    assert across.max() == pytest.approx(opening.floor_width / 2, abs=0.1)
                    assert across.min() > 0.35 * opening.floor_width
        radius = float(hall.design.shell.mid.breaks[0, 0])
        assert (np.linalg.norm(places, axis=1) < hall.design.shell.seam.breaks[0, 0]).all()
        for opening, tube in hall.openings:
            if opening.way_out is not None:
                local = tube.local(np.column_stack([places * -1.0, np.zeros(len(places))]))
                assert ((np.abs(local[:, 0]) > opening.width / 2) | (local[:, 2] < radius - 700.0)).all()


def test_dimensions_in_rows_never_run_into_each_other():
    rng = np.random.default_rng(3)
    for _ in range(20):
        ends = rng.uniform(0.0, 4000.0, (8, 2))
        wanted = [((a, 0.0), (b, 0.0), f"{abs(b - a):.0f}") for a, b in ends]
        made = in_dimension_rows(wanted, 0, 0.0, -1, 60.0)
        assert none_overlap([one.drawing.labels[0] for one in made])
        for k, one in enumerate(made):
            assert one.length_mm == pytest.approx(read(one.words), abs=0.5)
            line = shapely.LineString([*one.feet])
            assert not any(line.intersects(shapely.LineString([*other.feet])) for other in made[:k])


def check_design(design):
    hall = evolve(in_hall(design, assemble(design), None), bags=(12, 5.0))
    found = arrangement_pages(hall)
    check_pages(found.pages)
    top = float(design.shell.mid.top[1])
    assert sum(abs(one.length_mm - top) < 0.05 for one in found.dimensions) == 3


def designs(first, count):
    """So many designs from a seed on, those that are refused left out."""
    seed = first
    while count:
        try:
            yield design_of(words_of(seed))
            count -= 1
        except ParameterError:
            pass
        seed += 1


@pytest.mark.parametrize("first", [3, 40])
def test_designs_over_the_whole_ranges(first):
    for design in designs(first, 1):
        check_design(design)


@pytest.mark.sweep
def test_many_designs_over_the_whole_ranges():
    for design in designs(100, 12):
        check_design(design)


def test_the_same_room_gives_the_same_bytes(halls, drawn, tmp_path):
    write_arrangement(halls["lantern_room"], tmp_path)
    found = drawn["lantern_room"]
    write_pdf(found.pages, "lantern_room: in its hall", tmp_path / "again.pdf")
    write_dxf(found.drawing, tmp_path / "again.dxf", ARRANGEMENT_LAYERS, found.dimensions)
    for kind in ("pdf", "dxf"):
        assert (tmp_path / f"arrangement.{kind}").read_bytes() == (tmp_path / f"again.{kind}").read_bytes()


def test_a_metric_drawing_has_no_feet_and_the_other_way_round(drawn):
    for name, sign in (("lantern_room", False), ("orchard_pavilion", True)):
        assert {bool(re.search("['\"]", one.words)) for one in drawn[name].dimensions} == {sign}
