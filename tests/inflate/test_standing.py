import numpy as np
import pytest
from attrs import evolve
from model_rooms import NAMES, room_of

from shellparts.base.errors import GeometryError, ParameterError
from shellparts.build.inflated import flat_pieces, let_down
from shellparts.build.room import build
from shellparts.inflate import CurveEnd, Membrane, RoomState, SagLimits, StandingCurve, standing_curve
from shellparts.inflate.form import membrane
from shellparts.inflate.levels import triangle_size
from shellparts.inflate.standing_search import forms_let_down
from shellparts.inflate.walkway import clear_heights, ways_of
from shellparts.inflate.weld import weld
from shellparts.openings import Doorway
from shellparts.parameters import Design, Flap, Shell
from shellparts.parameters.part import Role
from shellparts.report.records import curve_record

#: Share of the sewn height that roof and tunnel keep, by a solver's run at 250 mm, apart from this one: cloth of 0.2 kg/m2.
KEPT = {
    "lantern_room": {8.0: (0.99, 0.98), 6.5: (0.99, 0.96), 5.5: (0.98, 0.91), 4.5: (0.92, 0.72)},
    "tide_dome": {8.0: (0.99, 1.06), 6.5: (0.98, 1.04), 5.5: (0.97, 0.98), 4.5: (0.92, 0.77)},
    "orchard_pavilion": {12.0: (0.98, 0.97), 8.0: (0.98, 0.95), 6.5: (0.97, 0.89), 5.5: (0.92, 0.70)},
}
PLAIN = Membrane(150e3, 120e3, 8e3, 0.2, 0.2)


def curve_of(**changed):
    """A curve made up: a room of 3 m with ways out of 2.1 and 2 m."""
    words = {
        "pressure_Pa": [4.0, 5.0, 6.0, 12.0],
        "roof_mm": [2600.0, 2850.0, 2950.0, 2990.0],
        "ways_mm": [[1500.0, 1400.0], [1800.0, 1850.0], [1950.0, 1940.0], [2080.0, 1990.0]],
        "residual": [1e-8] * 4,
        "sewn_roof_mm": 3000.0,
        "sewn_ways_mm": [2100.0, 2000.0],
        "mass_kg_m2": 0.2,
    }
    return StandingCurve(**(words | changed))


@pytest.fixture(scope="module")
def lantern():
    return room_of("lantern_room").standing


def test_a_curve_goes_through_its_points_and_never_falls():
    curve = curve_of()
    assert curve.roof_at(curve.pressure_Pa) == pytest.approx(curve.roof_mm)
    assert curve.way_out_at(curve.pressure_Pa, way=0) == pytest.approx(curve.ways_mm[:, 0])
    assert curve.way_out_at(curve.pressure_Pa) == pytest.approx(curve.ways_mm.min(axis=1))
    assert (np.diff(curve.way_out_at(np.linspace(4, 12, 2000))) >= 0).all()
    assert curve.rises


def test_between_the_points_it_is_the_monotone_cubic_of_the_library():
    from scipy.interpolate import PchipInterpolator

    curve, at = curve_of(), np.linspace(4, 12, 777)
    assert curve.roof_at(at) == pytest.approx(
        PchipInterpolator(curve.pressure_Pa, curve.roof_mm)(at), abs=0.1
    )


def test_there_and_back():
    curve, heights = curve_of(), np.linspace(1401, 1989, 300)
    for mass in (None, 0.31):
        found = curve.pressure_for_way_out(heights, mass)
        assert curve.way_out_at(found, mass) == pytest.approx(heights, abs=1e-6)
        assert curve.roof_at(curve.pressure_for_roof(0.95, mass), mass) == pytest.approx(2850.0)


def test_outside_the_curve():
    curve = curve_of()
    assert np.isnan(curve.roof_at([0.0, 3.99])).all()
    assert curve.roof_at([12.0, 500.0]) == pytest.approx([2990.0, 2990.0])
    assert curve.pressure_for_way_out([100.0, 1991.0]).tolist() == [4.0, np.inf]
    assert np.isnan(curve.pressure_for_way_out(np.nan))
    assert np.isnan(curve.roof_at(np.nan))


def test_heavier_cloth_needs_more_pressure_in_proportion():
    curve, mass = curve_of(), np.array([0.1, 0.2, 0.4])
    assert curve.roof_at(12.0, mass) == pytest.approx([2990.0, 2990.0, 2950.0])
    assert curve.pressure_for_way_out(1940.0, mass) == pytest.approx([3.0, 6.0, 12.0])
    assert curve.way_out_at(np.full((5, 1), 7.0), mass).shape == (5, 3)


def test_where_a_firmer_room_stood_lower_the_lower_height_counts():
    curve = curve_of(roof_mm=[2600.0, 2900.0, 2850.0, 2990.0])
    assert not curve.rises
    assert curve.roof_at([5.0, 6.0]) == pytest.approx([2850.0, 2850.0])
    assert curve.pressure_for_roof(2849.9 / 3000) <= 5.0


def test_one_point_and_none():
    one = StandingCurve([5.0], [2000.0], [[1500.0]], [1e-8], 2100, [1600], 0.2)
    assert one.roof_at([4.0, 5.0, 6.0]) == pytest.approx([np.nan, 2000.0, 2000.0], nan_ok=True)
    assert one.pressure_for_way_out([1400.0, 1501.0]).tolist() == [5.0, np.inf]
    none = StandingCurve([], [], np.zeros((0, 1)), [], 2100, [1600], 0.2, end=CurveEnd.NO_FORM)
    assert not none.found
    assert np.isnan([none.lowest_Pa, *none.roof_at([1.0, 9.0]), *none.pressure_for_way_out([1.0, 9.0])]).all()
    assert curve_record(none)["standing_curve"] == []


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"pressure_Pa": [4.0, 6.0, 5.0, 12.0]}, "4, 6, 5, 12 Pa; it must be positive and rising"),
        ({"roof_mm": [1.0]}, "one row a pressure"),
        ({"mass_kg_m2": 0.0}, "mass of the cloth is 0 kg/m2"),
    ],
)
def test_what_is_no_curve_is_refused(changed, message):
    with pytest.raises(ParameterError, match=message):
        curve_of(**changed)


def test_nothing_to_go_by_is_refused():
    with pytest.raises(ParameterError, match="pressure by formula"):
        standing_curve(None, PLAIN, (), 0.0)


def test_as_sewn_the_way_out_is_as_high_as_its_doorway():
    room = room_of("lantern_room")
    flat = flat_pieces(room.body, room.outlines)
    welded = weld(flat, triangle_size(flat, 650))
    (way,) = ways_of(room.design)
    assert clear_heights(welded, welded.nodes, [way]) == pytest.approx([room.design.ways_out[0].height])
    tilted = welded.nodes.copy()
    beyond = tilted[:, 0] > way.end - 1.0
    tilted[beyond, 2] -= 300.0
    lower = clear_heights(welded, tilted, [way])
    assert lower == pytest.approx([room.design.ways_out[0].height - 300.0])
    with pytest.raises(GeometryError, match="no cloth above the middle"):
        clear_heights(welded, welded.nodes, [evolve(way, origin=way.origin + 1e5 * way.axes[0])])


def test_the_lantern_room_sags_smoothly_its_doorway_first(lantern):
    assert lantern.end is CurveEnd.SUNK
    assert 6 <= len(lantern.pressure_Pa) <= 8
    assert lantern.rises
    assert lantern.residual.max() <= 1e-6
    roof = lantern.roof_mm / lantern.sewn_roof_mm
    way = lantern.ways_mm[:, 0] / lantern.sewn_ways_mm[0]
    assert (way < roof).all()
    assert way[0] < SagLimits().way_out <= way[1]
    assert roof[-1] > 0.99
    assert 1.04 < lantern.laps < 1.08


def test_its_record(lantern):
    record = curve_record(lantern)["standing_curve"]
    assert [row["pressure_Pa"] for row in record] == lantern.pressure_Pa.tolist()
    assert record[0]["way_out_height_mm"] == lantern.ways_mm[0, 0]
    assert record[-1]["roof_height_mm"] == lantern.roof_mm[-1]


def kept(name):
    """Shares of the sewn height that the roof and the tunnel's highest place keep, at the pressures of the table."""
    room, wanted = room_of(name), sorted(KEPT[name], reverse=True)
    flat = flat_pieces(room.body, room.outlines)
    following = dict(zip([2 * wanted[0], *wanted], [*wanted, None], strict=True))
    for pressure, found in forms_let_down(flat, PLAIN, wanted[0], lambda p, form: following[p], 250.0):
        assert found.state is RoomState.STANDS
        mesh, nodes = found.welded, found.form.nodes
        tunnel = [region.kind.role is Role.TUBE and not region.kind.is_round for region in mesh.regions]
        own = np.unique(mesh.triangles[np.array(tunnel)[mesh.region_of]])
        roof = nodes[:, 2].max() / mesh.nodes[:, 2].max()
        if pressure in KEPT[name]:
            yield pressure, roof, nodes[own, 2].max() / mesh.nodes[own, 2].max()


def check_kept(name):
    rows = list(kept(name))
    assert len(rows) == len(KEPT[name])
    for pressure, roof, tunnel in rows:
        assert roof == pytest.approx(KEPT[name][pressure][0], abs=0.011)
        assert tunnel == pytest.approx(KEPT[name][pressure][1], abs=0.021)


def test_an_earlier_run_kept_as_much():
    check_kept("lantern_room")


def check_scale(name):
    """Twice the mass at twice the pressure: the heights move no more than cloth that stretches lets them."""
    room = room_of(name)
    flat, ways, firm = flat_pieces(room.body, room.outlines), ways_of(room.design), SagLimits(way_out=0.85)
    plain, heavy = (
        standing_curve(flat, evolve(membrane(room.cloth), mass_kg_per_m2=m * 0.2), ways, m * 7.0, limits=firm)
        for m in (1, 2)
    )
    both = min(len(plain.pressure_Pa), len(heavy.pressure_Pa))
    assert both >= 5
    assert heavy.pressure_Pa[-both:] == pytest.approx(2 * plain.pressure_Pa[-both:])
    assert np.abs(heavy.roof_mm[-both:] - plain.roof_mm[-both:]).max() <= 5.0
    assert heavy.ways_mm[-both:] == pytest.approx(plain.ways_mm[-both:], rel=0.015)


def test_twice_the_mass_at_twice_the_pressure_is_the_same_form():
    check_scale("orchard_pavilion")


@pytest.mark.sweep
@pytest.mark.parametrize("name", ["tide_dome"])
def test_so_it_is_in_another(name):
    check_scale(name)


@pytest.mark.sweep
@pytest.mark.parametrize("name", NAMES[1:])
def test_earlier_runs_kept_as_much(name):
    check_kept(name)


@pytest.mark.sweep
@pytest.mark.parametrize("name", NAMES)
def test_small_triangles_need_as_much_more_pressure_as_the_curve_says(name):
    """On triangles of 140 mm, where the way out has sagged by about a fifth, the pressure is right to a twentieth."""
    from shellparts.inflate.whole_room import whole_room

    room = room_of(name)
    curve, flat = room.standing, flat_pieces(room.body, room.outlines)
    pressure = float(curve.pressure_for_way_out(0.8 * curve.sewn_ways_mm[0]))
    fine = whole_room(flat, membrane(room.cloth), pressure / curve.laps, 140.0)
    (height,) = clear_heights(fine.welded, fine.nodes, ways_of(room.design))
    assert float(curve.pressure_for_way_out(height)) == pytest.approx(pressure, rel=0.05)
    assert float(curve.roof_at(pressure)) == pytest.approx(fine.figures.height_mm, rel=0.015)


def random_design(rng):
    """A room of the sizes that people sew."""
    across, panels = rng.uniform(2800, 6500), int(rng.integers(6, 15))
    profile = str(rng.choice(["straight", "dome", "pointed"]))
    height = across / 2 * (rng.uniform(0.7, 0.95) if profile == "dome" else rng.uniform(1.1, 1.4))
    shell = Shell(panels=panels, profile=profile, across=across, height=height)
    door = Doorway(
        width=rng.uniform(600, 900),
        height=rng.uniform(0.35, 0.6) * height,
        length=rng.uniform(500, 1500),
        head=str(rng.choice(["flat", "arched", "gabled"])),
        centred_on=str(rng.choice(["panel", "seam"])),
    )
    return Design(name="drawn", shell=shell, openings=(door,), flap=Flap(depth=300.0))


@pytest.mark.sweep
def test_random_designs_stand_or_say_why():
    rng, rooms = np.random.default_rng(5), []
    while len(rooms) < 12:
        try:
            rooms.append(build(random_design(rng)))
        except ParameterError:
            continue
    found = [let_down(r.design, r.body, r.outlines, r.cloth, SagLimits(way_out=0.85)) for r in rooms]
    assert sum(curve.found for curve in found) >= 10
    for curve in found:
        assert curve.found or curve.why
        assert (curve.residual <= 1e-6).all()
        assert (np.diff(curve.pressure_Pa) > 0).all()
