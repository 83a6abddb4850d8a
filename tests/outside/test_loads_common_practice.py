"""Common practice, no source, nothing fitted: four outcomes that builders of such rooms know.

A straight-sided room 15 ft across and tall, of light woven sheet, with a three-speed fan of 3,500 cubic
feet a minute at full speed. Nothing else is known about it; so each outcome must come out for upright and
for tapering rooms, for sheet from very light to that of relief shelters, for the outlets that such a fan
may have, and with the shipped coefficients.
"""

import math

import pytest
from shellparts.loads.band import Standing, lift_pressure, working_band
from shellparts.loads.leaks import GROUND_GAP_MM, closed_room_leaks, leak_flow
from shellparts.loads.verdict import assess

from shellparts.base.ranges import End, exact
from shellparts.loads.atmosphere import GRAVITY_M_S2
from shellparts.loads.room_figures import RoomFigures
from shellparts.parameters.air_units import read_flow
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.site import FloorKind, Site
from shellparts.report.load_warnings import load_warnings

FOOT = 0.3048
#: The seam round a doorway of 3 by 6.5 ft: up one side, over the head, down the other.
DOORWAY_SEAM_MM = 1000 * FOOT * (6.5 + 3.0 + 6.5)
SHAPES = {
    "upright with a low roof": [(1.0, 0.0), (1.0, 0.8), (1.0, 0.8), (0.0, 1.0)],
    "tapering": [(1.0, 0.0), (0.6, 0.75), (0.6, 0.75), (0.0, 1.0)],
}
MASSES = [0.09, 0.13, 0.2]
OUTLETS = [None, 500.0, 610.0]


def flap_ring(radius: float, depth: float) -> float:
    return math.pi * (radius**2 - (radius - depth) ** 2)


def room_of_15_feet(shape: str, mass: float, flap_m: float) -> RoomFigures:
    radius = height = 7.5 * FOOT
    height *= 2.0
    r = [radius * share for share, _ in SHAPES[shape]]
    z = [height * share for _, share in SHAPES[shape]]
    pairs = list(zip(r[:-1], r[1:], z[:-1], z[1:], strict=True))
    surface = sum(math.pi * (a + b) * math.hypot(a - b, d - c) for a, b, c, d in pairs)
    volume = sum(math.pi * (d - c) * (a * a + a * b + b * b) / 3 for a, b, c, d in pairs)
    floor, around = math.pi * radius**2, 2 * math.pi * radius
    flap = flap_ring(radius, flap_m)
    return RoomFigures(
        floor_area_m2=floor,
        surface_area_m2=surface,
        envelope_volume_m3=volume,
        base_diameter_mm=2000 * radius,
        height_mm=1000 * height,
        profile_radius_mm=[1000 * x for x in r],
        profile_height_mm=[1000 * x for x in z],
        panel_count=12,
        seam_length_m=12 * 1.2 * height,
        base_perimeter_m=around,
        cloth_mass_kg=mass * (1.05 * surface + flap),
        exit_width_mm=36 * 25.4,
        exit_height_mm=6.5 * FOOT * 1000,
        flap_area_m2=flap,
        flap_depth_mm=1000 * flap_m,
        vent_longest_mm=DOORWAY_SEAM_MM,
    )


def verdict_of(shape, mass, outlet, flap_m, **site):
    fan = fan_from_label("drum fan", read_flow("3500 cfm"), outlet)
    return assess(room_of_15_feet(shape, mass, flap_m), fan, Cloth(mass_kg_m2=exact(mass)), Site(**site))


everywhere = pytest.mark.parametrize(
    ("shape", "mass", "outlet"), [(s, m, o) for s in SHAPES for m in MASSES for o in OUTLETS]
)


@everywhere
def test_the_lowest_speed_is_nearly_more_than_it_needs(shape, mass, outlet):
    verdict = verdict_of(shape, mass, outlet, 0.3)
    slowest, *faster = verdict.air.speeds
    hold_up = verdict.air.band.hold_up_Pa.likely
    # it holds the cloth up with pressure to spare, so that the question is how to be rid of air, and no
    # faster speed is wanted
    assert slowest.shut_pressure_Pa.likely > 1.25 * hold_up
    assert verdict.air.use_speed == slowest.name
    assert all(speed.vent.area_m2.likely > slowest.vent.area_m2.likely > 0.0 for speed in faster)


@everywhere
@pytest.mark.parametrize("flap_m", [0.0, 0.3])
def test_with_the_vent_shut_and_no_ballast_the_base_lifts_air_escapes_and_it_drops(
    shape, mass, outlet, flap_m
):
    verdict = verdict_of(shape, mass, outlet, flap_m, vent_opening_mm=0.0)
    fastest = verdict.air.speeds[-1]
    lift = verdict.air.band.lift_Pa
    for speed in verdict.air.speeds:
        assert speed.pressure_Pa.likely > lift.likely
        assert speed.floating_gap_mm > 0.0
    # at full speed that is beyond doubt where the outlet is known
    if outlet is not None:
        assert fastest.standing is Standing.LIFTS
        assert "base-lifts" in {w.code for w in load_warnings(verdict)}
    assert "vent-shut-lifts" in {w.code for w in load_warnings(verdict)}
    # the air that escapes under the lifted base is most of what the fan gives
    room = room_of_15_feet(shape, mass, flap_m)
    velocity = math.sqrt(2 * lift.likely / verdict.air.density_kg_m3)
    escaping = 0.61 * fastest.floating_gap_mm / 1000 * room.base_perimeter_m * velocity
    assert escaping > 0.5 * fastest.flow_m3_s.likely
    # and it drops: what it keeps is the lift pressure, below what it had
    assert lift.likely < fastest.pressure_Pa.likely


@everywhere
def test_leaving_part_of_the_doorway_seam_open_held_by_clips_cures_it(shape, mass, outlet):
    shut = verdict_of(shape, mass, outlet, 0.3, vent_opening_mm=0.0).air.used
    verdict = verdict_of(shape, mass, outlet, 0.3)
    used, band = verdict.air.used, verdict.air.band
    assert shut.pressure_Pa.likely > band.lift_Pa.likely
    assert band.hold_up_Pa.likely < used.pressure_Pa.likely < band.lift_Pa.likely
    assert used.floating_gap_mm == 0.0
    # part of the seam, not the whole of it, and clips to take off, not all of them
    assert 0.1 * DOORWAY_SEAM_MM < verdict.air.vent_opening_mm < 0.5 * DOORWAY_SEAM_MM
    assert 0 < used.vent.clips < 0.5 * DOORWAY_SEAM_MM / 100.0


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("mass", MASSES)
def test_cloth_lying_in_along_the_floor_seals_the_base(shape, mass):
    bare, flapped = (room_of_15_feet(shape, mass, flap) for flap in (0.0, 0.3))
    cloth = Cloth(mass_kg_m2=exact(mass))
    # it raises the pressure at which the base lifts; without it there is no band at all
    assert working_band(bare, cloth).ratio == pytest.approx(1.0)
    ratios = [working_band(room_of_15_feet(shape, mass, flap), cloth).ratio for flap in (0.0, 0.15, 0.3, 0.6)]
    assert ratios == sorted(set(ratios))
    # and it closes the gap along the ground
    without, within = (
        leak_flow([closed_room_leaks(r, cloth, FloorKind.HALL_FLOOR, 1.2)[0].law(End.LIKELY)], 5.0)
        for r in (bare, flapped)
    )
    assert within < 0.5 * without
    assert GROUND_GAP_MM[FloorKind.HALL_FLOOR, True].high < GROUND_GAP_MM[FloorKind.HALL_FLOOR, False].likely


def test_an_upright_room_without_a_flap_makes_its_own_by_sinking():
    room = room_of_15_feet("upright with a low roof", 0.13, 0.0)
    weight = room.cloth_mass_kg * GRAVITY_M_S2
    hold_up = weight / room.floor_area_m2
    # it sinks until the wall on the floor weighs what the air does not carry
    depth = (weight - 0.95 * hold_up * room.floor_area_m2) / (0.13 * GRAVITY_M_S2 * room.base_perimeter_m)
    assert 0.1 < depth < 0.5
    own_flap = flap_ring(room.base_diameter_mm / 2000, depth)
    # sunk so far it has a band again: what now lifts it is above what it has
    assert lift_pressure(weight, room.floor_area_m2, own_flap) > 1.1 * hold_up
