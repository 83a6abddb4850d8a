"""From a design to its form under air, on the three shipped rooms and on forms known in closed form."""

import math

import numpy as np
import pytest
from model_rooms import NAMES, room_of

from shellparts import Design, Doorway, Shell, build, fan_from_label
from shellparts.base.errors import ParameterError
from shellparts.inflate.form import inflated_form, largest_pull, mid_stations
from shellparts.parameters.cloth import Cloth


@pytest.mark.parametrize("name", NAMES)
def test_stations_are_those_of_a_whole_panel_laid_flat(name):
    """Half widths by distance from the floor, read off the flat sewing line of a panel without openings."""
    room = room_of(name)
    plain = next(p for p in room.pattern.pieces if p.name == "panel")
    points = np.concatenate([edge.polyline(0.01) for edge in plain.edges])
    stations = mid_stations(room.design.shell)
    flat = np.ptp(points, axis=0)
    flap = 0.0 if room.design.flap is None or room.design.flap.sewn_on else room.design.flap.depth
    assert max(flat) == pytest.approx(stations[-1, 0] + flap, abs=1e-3)
    assert min(flat) == pytest.approx(2 * stations[:, 1].max(), abs=1e-3)


def test_stations_of_a_straight_room_by_hand():
    """5 m over the middles, 4 m high, 8 panels: 0.5 m of the slope is left out."""
    shell = Shell(panels=8, across=5000, height=4000, measured="middles", stop_short=500)
    slope = math.hypot(2500, 4000)
    share = (slope - 500) / slope
    expected = [
        [0, 2500 * math.tan(math.pi / 8), 2500, 0],
        [slope - 500, 2500 * (1 - share) * math.tan(math.pi / 8), 2500 * (1 - share), 4000 * share],
    ]
    assert mid_stations(shell) == pytest.approx(np.array(expected))


@pytest.mark.parametrize("name", NAMES)
def test_the_shipped_rooms_stand_and_say_what_changed(name):
    room = room_of(name)
    form = room.inflated
    assert form.stands
    assert form.pressure_Pa == room.plan.after.air.setting.pressure_Pa.likely
    record = room.numbers()["inflated"]
    assert record["residual"] <= 1e-6
    assert record["height_change_mm"] == record["height_mm"] - form.sewn_height_mm
    assert record["drift"]["height_mm"] < 0.002 * record["height_mm"]
    assert record["drift"]["volume_m3"] < 0.001 * record["volume_m3"]
    # The cap rises and the panels bulge, so the room holds about as much as its flat-sided pattern; and the air's
    # upward pull on the foot is the pressure on the floor less the weight of the shell (balance of forces).
    panels = room.design.shell.panels
    apothem = float(mid_stations(room.design.shell)[0, 2]) / 1e3
    floor = panels * math.tan(math.pi / panels) * apothem**2
    stations = mid_stations(room.design.shell) / 1e3
    cloth = 2 * panels * float(np.trapezoid(stations[:, 1], stations[:, 0]))
    cloth += panels * math.tan(math.pi / panels) * float(stations[-1, 2]) ** 2
    weight = cloth * room.cloth.mass_kg_m2.likely * 9.80665
    assert record["uplift_N"] == pytest.approx(form.pressure_Pa * floor - weight, rel=2e-3)


def test_a_round_cloth_dome_pulls_as_a_sphere_does():
    """Many panels make a sphere: p r / 2 [N/m] in every direction (membranes in any handbook; from memory)."""
    shell = Shell(panels=64, across=6000, height=3000, profile="dome", measured="middles")
    design, cloth = Design(name="ball", shell=shell), Cloth(mass_kg_m2=0.01)
    forces = inflated_form(design, cloth, 100.0).panel.forces
    assert float(np.median(forces.across_N_per_m)) == pytest.approx(100 * 3.0 / 2, rel=0.03)
    assert float(np.median(forces.along_N_per_m)) == pytest.approx(100 * 3.0 / 2, rel=0.03)
    assert largest_pull(design, cloth, 100.0) >= 150.0


def test_too_little_air_gives_no_figures_but_a_warning():
    room = room_of("lantern_room")
    form = inflated_form(room.design, room.cloth, 0.5)
    assert not form.stands
    assert "height_mm" not in form.record()
    assert form.record()["outcome"] == "the air cannot carry the cloth"
    assert largest_pull(room.design, room.cloth, 0.5) is None


@pytest.mark.parametrize("name", ["tide_dome", pytest.param("orchard_pavilion", marks=pytest.mark.sweep)])
def test_a_pattern_can_be_corrected_for_the_size_under_air(name):
    asked = room_of(name)
    room = build(asked.design, fan=asked.fan, cloth=asked.cloth, site=asked.site, sizes="under air")
    form = room.inflated
    assert form.stands
    assert form.panel.height_mm == pytest.approx(asked.inflated.sewn_height_mm, abs=0.6)
    assert form.panel.widest_diameter_mm == pytest.approx(asked.inflated.sewn_widest_mm, abs=0.6)
    assert room.design.shell.height != asked.design.shell.height
    assert room.numbers()["inflated"]["sizes"] == "under air"
    assert asked.numbers()["inflated"]["sizes"] == "as sewn"


def test_sizes_under_air_need_a_fan_and_a_plain_word():
    shell = Shell(panels=8, across=4000, height=3000)
    with pytest.raises(ParameterError, match="sizes under air"):
        build(Design(name="a", shell=shell), sizes="under air")
    design = Design(name="a", shell=shell, doorway=Doorway(width=900, height=1200, length=1000))
    with pytest.raises(ParameterError, match="'as sewn' or 'under air'"):
        build(design, fan=fan_from_label("a fan", "2100 cfm", 400), sizes="blown up")


def test_the_force_in_the_cloth_counts_where_it_is_larger_than_membrane_theory_says():
    room = room_of("orchard_pavilion")
    cloth = room.verdict.membrane
    assert cloth.inflated_N_m == largest_pull(room.design, room.cloth, cloth.pressure_Pa)
    assert cloth.inflated_N_m > cloth.forces.largest_N_m
    seam = 1.5 * room.cloth.stitches_per_m * room.cloth.thread_strength_N * room.cloth.stitch_rows
    assert cloth.factor_of_safety == pytest.approx(min(room.cloth.strength_N_m, seam) / cloth.inflated_N_m)
