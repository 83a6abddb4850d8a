"""Templates of board, measured with shapely: put together they are the piece, and go together in one way only."""

import itertools

import attrs
import numpy as np
import pytest
import shapely
import shapely.affinity
from room_checks import ring_of

from shellparts.base.errors import ParameterError
from shellparts.build.room import build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Shell
from shellparts.parameters.boards import Boards, Division
from shellparts.templates.boards import board_template, board_templates
from shellparts.templates.drawn import alike_on_both_sides, drawn_round
from shellparts.templates.joints import SHORTEST_JOINT_MM, divided
from shellparts.templates.marks import TICK_MM, joint_letters, marked_joints, tick_on
from shellparts.templates.parts import Manner

SETTINGS = {
    "half on usual board": Boards(),
    "whole on usual board": Boards(half=False),
    "sewing line on small board": Boards(line="sewing", half=False, width=700, length=1500, strip=60),
}
AREA_SHARE = 1e-6
#: No joint nearer to a corner or notch than this [mm].
CLEAR_MM = 15.0 - 1e-3
NONE = np.zeros((0, 2))


@pytest.fixture(scope="module", params=SETTINGS)
def job(request, model_room):
    """The pattern of a shipped room, settings, and its templates divided both ways."""
    boards, pattern = SETTINGS[request.param], model_room.pattern
    return pattern, boards, [board_templates(pattern, boards, division) for division in Division]


def all_of(found):
    return [template for one in found for template in one.templates]


def piece_polygon(piece, boards):
    return shapely.Polygon(ring_of(piece.edges) if boards.line.value == "sewing" else piece.cutting[0])


def mirrored(shape):
    return shapely.transform(shape, lambda points: points * [-1.0, 1.0])


def check_together(shape, parts):
    """Parts cover a shape, exactly and once."""
    together = shapely.union_all(parts)
    assert together.symmetric_difference(shape).area <= AREA_SHARE * shape.area
    assert sum(part.area for part in parts) == pytest.approx(shape.area, rel=AREA_SHARE)
    for a, b in itertools.combinations(parts, 2):
        assert a.intersection(b).area <= 1e-6


def check_fits(part, boards):
    left, low, right, high = part.bounds
    size = sorted((right - left, high - low), reverse=True)
    room = sorted((boards.length - 2 * boards.margin, boards.width - 2 * boards.margin), reverse=True)
    assert size[0] <= room[0] + 1e-5
    assert size[1] <= room[1] + 1e-5


def spacings(joint):
    return np.diff(joint.marks_mm)


def check_marks(parts, joints):
    """Both sides of a joint bear the same marks; no joint can be taken for another, nor for itself turned about."""
    for joint in joints:
        line = shapely.LineString(joint.ends)
        for i in joint.parts:
            assert line.hausdorff_distance(line.intersection(parts[i].boundary.buffer(1e-6))) < 1e-4
        for mark in joint.marks:
            a, b = (tick_on(parts[i], joint, mark) for i in joint.parts)
            assert np.array_equal(a[0], b[0])
            assert np.array_equal(a[0], mark)
            along = joint.ends[1] - joint.ends[0]
            for i, tick in zip(joint.parts, (a, b), strict=True):
                assert abs((tick[1] - tick[0]) @ along) < 1e-6 * joint.length_mm
                assert 5.0 <= np.linalg.norm(tick[1] - tick[0]) <= TICK_MM + 1e-9
                assert parts[i].buffer(1e-6).contains(shapely.LineString(tick))
            assert (a[1] - a[0]) @ (b[1] - b[0]) < 0.0  # to opposite sides
        assert min(joint.marks_mm) > 0.0 and max(joint.marks_mm) < joint.length_mm
        own = spacings(joint)
        assert np.abs(own - own[::-1]).max() >= min(8.0, joint.length_mm / 14.0)
    for one, other in itertools.combinations(joints, 2):
        a, b = spacings(one), spacings(other)
        if len(a) == len(b):
            least = min(8.0, one.length_mm / 14.0, other.length_mm / 14.0)
            assert np.abs(a - b).max() >= least
            assert np.abs(a - b[::-1]).max() >= least


def check_strips(shape, joints, boards):
    """Strips cover their joints, stay on the template and clear of each other."""
    strips = [shapely.Polygon(joint.strip.outline) for joint in joints if joint.strip is not None]
    for joint in joints:
        if joint.strip is None:
            continue
        strip = shapely.Polygon(joint.strip.outline)
        covered = strip.intersection(shapely.LineString(joint.ends)).length
        assert strip.area == pytest.approx(covered * boards.strip, rel=1e-6)
        assert covered < joint.length_mm
        assert strip.exterior.is_ccw
        assert shape.buffer(1e-6).contains(strip)
    for a, b in itertools.combinations(strips, 2):
        assert a.intersection(b).area < 1e-6


def test_the_parts_of_a_template_together_are_the_piece(job):
    pattern, boards, found = job
    assert all_of(found)
    for template in all_of(found):
        piece = piece_polygon(pattern.piece(template.name), boards)
        parts = [part.polygon for part in template.parts]
        whole = shapely.Polygon(template.outline)
        check_together(whole, parts)
        if template.half:
            left = mirrored(whole)
            assert left.intersection(whole).area < 1e-6
            whole = whole.union(left)
        assert whole.symmetric_difference(piece).area <= AREA_SHARE * piece.area
        for part in parts:
            assert part.is_valid and part.exterior.is_ccw
            check_fits(part, boards)


def test_marks_and_strips_of_every_joint(job):
    _, boards, found = job
    for template in all_of(found):
        parts = [part.polygon for part in template.parts]
        check_marks(parts, template.joints)
        check_strips(shapely.Polygon(template.outline), template.joints, boards)


def test_what_is_marked_on_a_part_lies_on_it_and_where_it_belongs(job):
    pattern, boards, found = job
    for template in all_of(found):
        piece = pattern.piece(template.name)
        sewing = shapely.LinearRing(ring_of(piece.edges))
        whole = shapely.Polygon(template.outline)
        drawn = [line for part in template.parts for line in part.sewing]
        if boards.line.value == "cutting":
            length = sum(np.linalg.norm(np.diff(line, axis=0), axis=1).sum() for line in drawn)
            inside = sewing.intersection(whole).length
            assert length >= inside * (1.0 - 1e-6)  # openings come on top
        else:
            assert len(drawn) == len(piece.holes) == 0
        for part in template.parts:
            for line in part.sewing:
                assert part.polygon.buffer(1e-6).contains(shapely.LineString(line))
            for hole in part.drill:
                assert sewing.distance(shapely.Point(hole)) <= 0.03 or piece.holes
                assert part.polygon.contains(shapely.Point(hole).buffer(2.9))
            letters = [letter for letter, _ in part.ticks]
            i = template.parts.index(part)
            told = [joint.letter for joint in template.joints if i in joint.parts for _ in joint.marks_mm]
            assert sorted(letters) == sorted(told)
            if template.half:
                edge = part.polygon.exterior.intersection(shapely.LineString([(0, -1e5), (0, 1e5)]))
                assert np.ptp(part.fold[:, 1]) == pytest.approx(edge.length)


def test_notches_are_on_one_part_each(job):
    pattern, _, found = job
    for template in all_of(found):
        piece = pattern.piece(template.name)
        points = [edge.at(at)[0] for edge in piece.edges for at in edge.ticks_mm]
        wanted = [point for point in points if not template.half or point[0] > 0.0]
        found = [notch[0] for part in template.parts for notch in part.notches]
        assert len(found) == len(wanted)
        for point in wanted:
            assert min(np.linalg.norm(point - other) for other in found) < 1e-9


def test_joints_keep_clear_of_corners_and_notches(job):
    pattern, boards, found = job
    for template in all_of(found):
        piece = pattern.piece(template.name)
        corners = [edge.flat[0].start for edge in piece.edges]
        notches = [edge.at(at)[0] for edge in piece.edges for at in edge.ticks_mm]
        clear = shapely.MultiPoint(np.array([*corners, *notches]))
        for joint in template.joints:
            assert joint.length_mm >= SHORTEST_JOINT_MM
            assert clear.distance(shapely.LineString(joint.ends)) >= CLEAR_MM
            level = abs(joint.ends[1, 1] - joint.ends[0, 1]) < 1e-9
            for i in joint.parts:
                size = np.ptp(template.parts[i].outline, axis=0)
                assert size[int(level)] >= boards.least_part_mm - 1e-3


def test_letters_and_names_are_used_once(job):
    for made in job[2]:
        letters = [joint.letter for template in made.templates for joint in template.joints]
        names = [shape.name for template in made.templates for shape in template.shapes]
        assert len(set(letters)) == len(letters)
        assert len(set(names)) == len(names)


def test_every_piece_is_drawn_round_one_template_or_named_as_without(job):
    pattern, boards, (found, _) = job
    drawn = [one.name for template in found.templates for one in template.drawn]
    assert sorted([*drawn, *found.without]) == sorted(piece.name for piece in pattern.templates)
    for template in found.templates:
        assert template.times >= boards.at_least
        assert sum(pattern.piece(one.name).count for one in template.drawn) == template.times
    assert all(pattern.piece(name).count < boards.at_least for name in found.without)


def test_what_is_drawn_round_a_plain_panel_nowhere_leaves_it(job):
    pattern, boards, found = job
    for template in all_of(found):
        plain = piece_polygon(pattern.piece(template.name), boards)
        for one in template.drawn:
            shape = piece_polygon(pattern.piece(one.name), boards)
            if "turned over" in one.at or one.manner is Manner.TURNED:
                shape = mirrored(shape)
            for words, k in (("lower", 1), ("upper", 3)):
                if words in one.at:  # by their sewing lines; both allowances are alike there
                    shape = shapely.affinity.translate(shape, 0.0, plain.bounds[k] - shape.bounds[k])
            assert shape.difference(plain.buffer(0.11)).is_empty, one
            shared = shape.exterior.intersection(plain.exterior.buffer(0.11)).length / shape.length
            assert shared >= one.share - 1e-3
            assert (one.share > 0.9999) == (one.manner is not Manner.PARTLY)


def test_the_three_rooms_share_their_panels_boards(rooms):
    """The sleeve's panel has a hole and else the plain panel's outline; mirror images lie on their originals."""
    for room in rooms.values():
        found = board_templates(room.pattern, Boards())
        home = {
            one.name: (template.name, one.manner) for template in found.templates for one in template.drawn
        }
        assert home["panel_sleeve"] == ("panel", Manner.OPENING)
        for piece in room.pattern.pieces:
            if piece.mirror_of in home and home[piece.mirror_of][0] == piece.mirror_of:
                assert home[piece.name] == (piece.mirror_of, Manner.TURNED)


def test_half_templates_only_of_what_is_alike_on_both_sides(rooms):
    """A panel with the doorway beside its middle is not; nor is one whose notches alone differ from side to side."""
    pattern = rooms["tide_dome"].pattern
    assert alike_on_both_sides(pattern.piece("panel"))
    assert not alike_on_both_sides(pattern.piece("panel_doorway_2"))
    lopsided = board_template(pattern.piece("panel_doorway_2"), Boards())
    assert not lopsided.half
    panel = pattern.piece("panel")
    right = next(edge for edge in panel.edges if len(edge.notches_mm) > 1)
    moved = attrs.evolve(right, notches_mm=tuple(at + 5.0 for at in right.notches_mm))
    other = attrs.evolve(panel, edges=tuple(moved if edge is right else edge for edge in panel.edges))
    assert not alike_on_both_sides(other)


def test_a_template_that_fits_one_board_stays_whole(rooms):
    pattern = rooms["lantern_room"].pattern
    for piece in pattern.pieces:
        template = board_template(piece, Boards(width=3000, length=6000))
        assert not template.half
        assert len(template.parts) == 1
        assert template.joints == ()


def test_a_piece_of_another_kind_or_larger_is_not_drawn_round_a_template(rooms):
    pattern = rooms["tide_dome"].pattern
    panel = pattern.piece("panel")
    assert drawn_round(pattern.piece("curtain_left"), panel, Boards()) is None
    assert drawn_round(panel, pattern.piece("panel_doorway_1"), Boards()) is None


def test_a_hole_or_a_doorway_is_told_apart():
    """Beside a wide doorway its panels agree with a plain panel in part; a sleeve's panel agrees all around."""
    room = build(
        Design(
            name="trial",
            shell=Shell(panels=10, across=5000, height=3500, wall=1000),
            doorway=Doorway(width=900, height=1700, length=1200, head="flat"),
            sleeve=Sleeve(diameter=400, length=900, height=500, panel=6),
        )
    )
    found = board_templates(room.pattern, Boards())
    manners = {one.name: one.manner for template in found.templates for one in template.drawn}
    assert manners["panel"] is Manner.ROUND
    assert manners["panel_sleeve"] is Manner.OPENING
    assert manners["panel_doorway"] is Manner.PARTLY


# Dividing, on shapes of all kinds


def gore(length, base, top, steps=40):
    y = np.linspace(0.0, length, steps)
    half = top / 2 + (base - top) / 2 * np.cos(y / length * np.pi / 2)
    return shapely.Polygon(np.r_[np.c_[half, y], np.c_[-half, y][::-1]])


def random_shape(rng):
    """Trapezium, gore, L or U; some wider than long."""
    kind, tall, wide = rng.integers(4), rng.uniform(800.0, 7000.0), rng.uniform(500.0, 3500.0)
    if kind == 0:
        top = rng.uniform(0.1, 1.0) * wide
        return shapely.Polygon([(-wide / 2, 0), (wide / 2, 0), (top / 2, tall), (-top / 2, tall)])
    if kind == 1:
        return gore(tall, wide, rng.uniform(80.0, 400.0))
    cut = shapely.box(wide * 0.6, tall * 0.55, wide + 1, tall + 1)
    if kind == 3:
        cut = shapely.box(wide * 0.3, tall * 0.55, wide * 0.7, tall + 1)
    return shapely.box(0, 0, wide, tall).difference(cut)


@pytest.mark.parametrize("seed", range(16))
def test_random_shapes_are_divided_soundly(seed):
    rng = np.random.default_rng([7, seed])
    shape = random_shape(rng)
    boards = Boards(
        width=rng.uniform(700, 1300), length=rng.uniform(1400, 2500), margin=rng.uniform(0, 30), strip=80
    )
    clear = np.asarray(shape.simplify(1.0).exterior.coords)[:-1]
    found = divided(shape, clear, boards, list(Division)[seed % 2])
    check_together(shape, found.parts)
    for part in found.parts:
        check_fits(part, boards)
    joints = marked_joints(found, shape, boards, joint_letters())
    check_marks(found.parts, joints)
    check_strips(shape, joints, boards)
    clear = shapely.MultiPoint(clear)
    assert all(clear.distance(shapely.LineString(joint.ends)) >= CLEAR_MM for joint in joints)
    linked = {0}
    while True:
        more = {k for joint in joints for k in joint.parts if linked & set(joint.parts)} | linked
        if more == linked:
            break
        linked = more
    assert linked == set(range(len(found.parts)))  # all hang together


@pytest.mark.parametrize("height", [1000.0, 2420.0, 2500.0, 4600.0, 4840.0, 5000.0, 7000.0, 9600.0])
def test_a_band_narrower_than_the_board_takes_as_few_parts_as_its_length(height):
    """Rows as long as the board, one after the other, are the fewest there can be."""
    shape = shapely.Polygon([(0, 0), (900, 0), (700, height), (0, height)])
    for division in Division:
        found = divided(shape, NONE, Boards(), division)
        assert len(found.parts) == int(np.ceil(height / 2420.0))
        heights = [part.bounds[3] - part.bounds[1] for part in found.parts]
        if division is Division.EVEN:
            assert max(heights) - min(heights) <= 5.0 + 1e-6
        elif len(heights) > 1:
            assert sorted(heights)[1:] == pytest.approx([2420.0] * (len(heights) - 1), abs=200.0)


def test_a_notch_where_the_joint_would_lie_moves_it():
    shape = shapely.box(0, 0, 500, 4600)
    plain = divided(shape, NONE, Boards())
    moved = divided(shape, np.array([(500.0, 2300.0)]), Boards())
    assert plain.joints[0][2][0, 1] == pytest.approx(2300.0)
    assert abs(moved.joints[0][2][0, 1] - 2300.0) == pytest.approx(15.0)


def test_a_joint_leaves_no_sliver():
    """A prong beside the very place: no joint cuts off less than 200 mm of its tip."""
    prong = shapely.union_all(
        [shapely.box(0, 0, 500, 4600), shapely.box(500, 1800, 800, 1900), shapely.box(700, 1900, 800, 2350)]
    )
    found = divided(prong, NONE, Boards())
    assert len(found.parts) == 2
    (joint,) = {float(ends[0, 1]) for _, _, ends in found.joints}
    assert joint == pytest.approx(2350.0, abs=5.0 + 1e-6)
    assert joint > 2350.0


# Settings


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        ({"width": 100}, r"board width is 100 mm; it must be from 300 mm to 3000 mm\. Remedy: measure"),
        (
            {"length": "22 ft"},
            r"board length is 22 ft \(6705\.6 mm\); it must be from .*\(300 mm\) to .*\(6000 mm\)",
        ),
        ({"margin": -1}, r"board margin is -1 mm; .* Remedy: leave 5 mm"),
        ({"kerf": "1 in"}, r"saw kerf is 1 in \(25\.4 mm\); it must be from .*\(0 mm\) to .*\(20 mm\)"),
        ({"strip": 10}, r"width of joining strips is 10 mm; it must be from 40 mm to 300 mm"),
        ({"half": "no"}, r"half templates is 'no'; it must be True or False"),
        ({"line": "edge"}, r"line of the templates is 'edge'; it must be one of cutting, sewing"),
        ({"at_least": 0}, r"number of drawings .* is 0; it must be from 1 to 1000"),
        (
            {"width": 400, "margin": 60},
            r"board inside its margins is 280\.0 mm; it must be at least 300 mm wide",
        ),
        ({"width": 345, "margin": 10, "strip": 300}, r"at least 350 mm wide\. Remedy: use larger boards"),
    ],
)
def test_settings_that_cannot_be(wrong, match):
    with pytest.raises(ParameterError, match=match):
        Boards(**wrong)


def test_a_piece_without_room_for_joints_is_refused_by_name():
    corners = np.array([(0.0, y) for y in np.arange(0.0, 3000.0, 20.0)])
    with pytest.raises(
        ParameterError, match=r"large enough that the template of gore can be divided clear of"
    ):
        divided(shapely.box(0, 0, 500, 3000), corners, Boards(), what="the template of gore")
