"""Panels, caps, sleeves and doorways of whole rooms against projections, handbooks and common practice."""

import math

import numpy as np
import pytest
from pyproj import Proj

from shellparts.build.room import build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Allowances, Design, Shell
from shellparts.pattern.stations import stations_of

RADIUS = 2500.0
FOOT, INCH = 304.8, 25.4


def dome_panel(panels, measured="middles", radius=RADIUS):
    shell = Shell(
        panels=panels, across=2 * radius, height=radius, profile="dome", measured=measured, stop_short=300
    )
    return build(Design(name="sphere", shell=shell))


@pytest.mark.parametrize("panels", [6, 12, 24])
def test_sphere_panel_is_the_transverse_central_cylindrical_projection(panels):
    """PROJ ``+proj=tcc`` and ``+proj=cass`` by pyproj.

    A panel ruled by chords, with its mid-line on the sphere, lies on the cylinder that touches the sphere along the
    middle meridian. Its seam planes pass through the sphere's centre, so its edges are the central projection of the
    meridians half an angle away. Cassini's projection has the same ordinate, and the arc instead of the tangent.
    """
    piece = dome_panel(panels).pattern.piece("panel")
    half = 180.0 / panels
    central, cassini = Proj(proj="tcc", R=RADIUS), Proj(proj="cass", R=RADIUS)
    checked = 0
    for row in stations_of(piece, 200.0):
        if row.right_sewing_mm is None or row.left_sewing_mm is None or row.distance_mm % 200.0:
            continue  # beyond the sewing line, or at a corner of the cutting line
        latitude = math.degrees(math.atan(math.tan(row.distance_mm / RADIUS) * math.cos(math.radians(half))))
        x, y = central(half, latitude)
        assert row.distance_mm == pytest.approx(y, abs=1e-6)
        assert row.right_sewing_mm == pytest.approx(x, abs=0.03)  # a drawing's sagitta
        x_cassini, y_cassini = cassini(half, latitude)
        assert row.distance_mm == pytest.approx(y_cassini, abs=1e-6)
        assert row.left_sewing_mm == pytest.approx(RADIUS * math.tan(x_cassini / RADIUS), abs=0.03)
        checked += 1
    assert checked >= 15
    (seam, *_) = [edge for edge in piece.edges if edge.length_mm > 3000.0]
    points = seam.flat[0].at(np.linspace(0.0, seam.flat[0].s[-1], 50))
    latitudes = np.degrees(np.arctan(np.tan(points[:, 1] / RADIUS) * math.cos(math.radians(half))))
    x, y = central(np.full(50, half), latitudes)
    assert np.abs(points[:, 0]) == pytest.approx(np.abs(x), abs=1e-5)
    assert points[:, 1] == pytest.approx(y, abs=1e-5)


def test_twelve_gores_at_45_degrees():
    """Cassini's row of the 12-gore table computed with PROJ: R = 1, edge at 45 deg: (.1840500, .8027288)."""
    piece = dome_panel(12).pattern.piece("panel")
    seam = next(edge.flat[0] for edge in piece.edges if edge.length_mm > 3000.0)
    s = np.linspace(0.0, seam.s[-1], 20_001)
    points = np.abs(seam.at(s)) / RADIUS
    x = np.interp(0.8027288, *points[np.argsort(points[:, 1])].T[::-1])
    assert math.atan(x) == pytest.approx(0.1840500, abs=1e-6)


@pytest.mark.parametrize(("panels", "chord"), [(8, 2.296 / 6), (12, 0.258819), (24, 0.130526), (56, 0.05607)])
def test_width_at_the_floor_is_the_chord(panels, chord):
    """Machinery's Handbook, tables for spacing holes: chord of n parts of a circle of diameter 1 (8: diameter 6)."""
    across = 6000.0
    room = build(Design(name="chord", shell=Shell(panels=panels, across=across, height=4000, stop_short=600)))
    foot = min(
        room.pattern.piece("panel").edges, key=lambda edge: edge.flat[0].start[1] + edge.flat[0].end[1]
    )
    assert foot.length_mm / across == pytest.approx(chord, abs=5e-5 if panels == 8 else 5e-6)


def test_dome_radius_from_chord_and_rise():
    """Machinery's Handbook, 31st ed., p. 79: chord 16 and height 6 give a radius of 8 1/3; here in units of 300 mm."""
    shell = Shell(panels=8, across=16 * 300, height=6 * 300, profile="dome", measured="middles")
    panel = build(Design(name="cap_of_a_sphere", shell=shell)).body.sheets[0]
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    assert BRepAdaptor_Surface(panel.faces[0].face).Cylinder().Radius() == pytest.approx(
        300 * 25 / 3, rel=1e-12
    )


@pytest.mark.parametrize("panels", [5, 9, 16])
def test_gauss_bonnet_of_the_closed_polyhedron(panels):
    """Descartes: the angle defects of a closed convex polyhedron add up to 720 deg; taken from flat corners."""
    room = build(
        Design(name="facets", shell=Shell(panels=panels, across=5000, height=4000, wall=1000, stop_short=500))
    )
    at: dict[tuple[float, ...], float] = {}
    import cadquery as cq

    for face in cq.Solid(room.body.envelope).Faces():
        wire = [v.toTuple() for v in face.outerWire().Vertices()]
        centre = np.mean(wire, axis=0)
        normal = np.array(face.normalAt().toTuple())
        u = np.array(wire[0]) - centre
        v = np.cross(normal, u)
        ring = sorted(
            wire,
            key=lambda p: math.atan2(float((np.array(p) - centre) @ v), float((np.array(p) - centre) @ u)),
        )
        for before, here, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
            a, b = np.subtract(before, here), np.subtract(after, here)
            key = tuple(np.round(here, 4) + 0.0)
            at[key] = at.get(key, 0.0) + math.acos(float(a @ b / np.linalg.norm(a) / np.linalg.norm(b)))
    assert len(at) == 3 * panels
    assert math.degrees(sum(2 * math.pi - angle for angle in at.values())) == pytest.approx(720.0, abs=1e-6)
    cone = sum(angle for (x, y, z), angle in at.items() if z == 0.0)
    assert cone < 2 * math.pi * panels


def test_sleeve_into_a_dome_is_the_branch_pipe():
    """Branch r 0.6 into a main R 2 at a right angle, by scipy quadrature of sqrt(R2 - r2 cos2 t).

    Saddle 0.0921216, curve 3.792031; the hole laid flat has half sizes 0.609385 x 0.6 and the area 1.144148. The
    sleeve's axis rises at 30 deg and so passes through the axis of the panel's cylinder.
    """
    shell = Shell(panels=5, across=4000, height=2000, profile="dome", measured="middles", stop_short=100)
    sleeve = Sleeve(diameter=1200, length=1500, height=1000, slope=-30, panel=1)
    room = build(Design(name="branch", shell=shell, sleeve=sleeve))
    piece = room.pattern.piece("panel_sleeve")
    (hole,) = piece.outline.holes
    assert hole.perimeter_mm / 1000 == pytest.approx(3.792031, abs=1e-6)
    assert -hole.area_mm2 / 1e6 == pytest.approx(1.144148, abs=1e-6)
    points = hole.polyline(1e-4) / 1000
    assert np.ptp(points, axis=0) / 2 == pytest.approx([0.6, 0.609385], abs=2e-6)
    tube = room.pattern.piece("sleeve")
    mouth = np.concatenate(
        [e.polyline(1e-4) for e in tube.edges if set(k.key for k in e.flat) & set(h.key for h in hole.edges)]
    )
    assert np.ptp(mouth[:, 1]) / 1000 == pytest.approx(0.0921216, abs=1e-6)
    assert np.ptp(mouth[:, 0]) / 1000 == pytest.approx(2 * math.pi * 0.6, rel=1e-9)


def test_common_practice_room():
    """Common practice, no source: 15 ft across, 15 ft tall, 16 straight panels; every number by hand below."""
    girth = 1500.0
    room = build(
        Design(
            name="practice",
            shell=Shell(panels=16, across="15 ft", height="15 ft", stop_short="10 cm"),
            doorway=Doorway(width="2 ft 9 in", height="4 ft", rise="12 in", length="4 ft", vent=0),
            sleeve=Sleeve(girth=girth, ease=0, length="4 ft", height=500, slope=0, panel=9),
            allowances=Allowances(seam="3 cm"),
        )
    )
    pattern = room.pattern
    radius = height = 15 * FOOT  # 4572 mm
    radius /= 2  # 2286 mm, over the seams
    base = 2 * radius * math.sin(math.pi / 16)  # 891.9 mm
    mid = radius * math.cos(math.pi / 16)  # 2242.1 mm
    slant = math.hypot(mid, height)  # 5092.2 mm
    end = base * 100 / slant  # 17.5 mm
    assert (round(base, 1), round(slant, 1), round(end, 2)) == (892.0, 5092.2, 17.52)
    panel = pattern.piece("panel")
    lengths = sorted(edge.length_mm for edge in panel.edges)
    seam = math.hypot(slant - 100, (base - end) / 2)
    assert lengths == pytest.approx([end, base, seam, seam], abs=1e-6)
    assert panel.outline.flat_area_mm2 == pytest.approx((base + end) / 2 * (slant - 100), rel=1e-9)
    rows = [row for row in stations_of(panel, 1000.0) if row.right_sewing_mm is not None]
    assert rows[0].right_sewing_mm == pytest.approx(base / 2, abs=1e-3)
    regular = [row for row in rows if row.distance_mm and not row.distance_mm % 1000.0]
    assert len(regular) == 4
    for row in regular:
        assert row.right_sewing_mm == pytest.approx(base / 2 * (1 - row.distance_mm / slant), abs=1e-6)
        # 3 cm at a right angle to the seam; a little more along the row
        lean = math.atan(base / 2 / slant)
        assert row.right_cutting_mm - row.right_sewing_mm == pytest.approx(30 / math.cos(lean), abs=1e-3)
    cap = pattern.piece("cap")
    cap_radius = 16 * end / (2 * math.pi)  # 44.6 mm: the circumference is sixteen end widths
    assert round(cap_radius, 1) == 44.6
    assert sum(edge.length_mm for edge in cap.edges) == pytest.approx(16 * end, abs=1e-6)
    assert cap.outline.flat_area_mm2 == pytest.approx(math.pi * cap_radius**2, rel=1e-9)
    sleeve = pattern.piece("sleeve")
    at_fan = [edge for edge in sleeve.edges if edge.role.value == "hem"]
    assert sum(edge.length_mm for edge in at_fan) == pytest.approx(girth, abs=1e-6)
    tunnel = room.body.links
    peak = max(
        float(link.start.at[2])
        for link in tunnel
        if abs(link.start.at[1]) < 1e-9 and link.start.at[0] > radius
    )
    assert peak == pytest.approx(4 * FOOT)
    gable = math.hypot(33 * INCH / 2, 12 * INCH)  # 517.9 mm
    outer = [
        e
        for e in pattern.piece("tunnel").edges
        if e.seams and max(e.at(0.0)[0][1], e.at(e.length_mm)[0][1]) < 1e-3
    ]
    around = sum(edge.length_mm for edge in outer)
    assert around == pytest.approx(2 * gable + 2 * 36 * INCH, abs=1e-3)  # two slopes, two sides of 3 ft
