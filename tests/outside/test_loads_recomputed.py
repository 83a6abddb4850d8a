"""What is said of the shipped rooms in single cases, against `plain_physics`, which knows nothing of the library.

A case is one of the library's draws: its places in the ranges are read out, the physics is done again. Each verdict is
made from that one case, so that all its ranges are single values. Agreement asked for: 1 %, the wet bulb 0.1 K.
"""

import math
from functools import cache

import numpy as np
import pytest
from model_rooms import NAMES, room_of
from plain_physics import PlainRoom, namespace

from shellparts.base.ranges import Range
from shellparts.loads.assess import assess_drawn, draw_room
from shellparts.loads.doorway_traffic import OPEN_S
from shellparts.loads.draws import UNCERTAIN, Draws, draws
from shellparts.loads.inside_air import CO2_SHARE, MIXING
from shellparts.loads.leak_draws import (
    CURTAIN_GAP_SHARE,
    DISCHARGE,
    DOOR_IN_USE_SHARE,
    GROUND_GAP_MM,
    HOLE_OPEN_SHARE,
    LAP_CRACK,
    VENT_GAPE,
)
from shellparts.loads.room_draws import FLAP_HELD, FORM_FACTOR
from shellparts.loads.sinking import SAGGED_SHARE, SinkingVariant
from shellparts.loads.warmth import CLOTH_U_VALUE, PERSON_W
from shellparts.parameters.air_units import read_flow
from shellparts.parameters.site import AgeGroup

#: What the scripts say of their fans: label and outlet.
LABELS = {
    "lantern_room": ("2100 cfm", 0.400),
    "tide_dome": ("1.3 m3/s", 0.480),
    "orchard_pavilion": ("2300 cfm", 0.500),
}
#: A. Persily and L. de Jonge, Indoor Air 27, 2017, at 1.2 met [L/s].
CO2_L_S = {AgeGroup.BOYS_6_10: 0.0030, AgeGroup.MEN_30_39: 0.0046}
CASES = (3, 700, 1501)
#: Share of a standing fan's outlet; setting off and walking, from memory in the library's words; the rate a metre likewise.
IDLE_SHARE = (0.2, 0.8)
START_S, WALK_M_S, RATE = (5.0, 30.0), (0.5, 1.2), (0.5, 1.3)


def figures_of(room):
    one, cloth = room.figures, room.cloth
    (way,) = one.ways_out
    return namespace(
        cloth_kg=one.cloth_mass_kg, mass_kg_m2=cloth.mass_kg_m2.likely, flap_m2=one.flap_area_m2,
        floor_m2=one.floor_area_m2, surface_m2=one.surface_area_m2, volume_m3=one.envelope_volume_m3,
        radius_m=one.profile_radius_mm / 1e3, height_m=one.profile_height_mm / 1e3, seam_m=one.seam_length_m,
        stitches_per_m=cloth.stitches_per_m, rows=cloth.stitch_rows, needle_m=cloth.needle_mm / 1e3,
        base_line_m=one.base_perimeter_m, door_m2=one.exit_width_mm * one.exit_height_mm / 1e6,
        open_m2=one.open_area_m2, doors_with_vent=one.vent_count, across_m=one.base_diameter_mm / 1e3,
        way_width_m=way.width / 1e3, way_height_m=way.height / 1e3, way_length_m=way.length / 1e3,
    )  # fmt: skip


def case_of(room, place, outlet_m):
    """Values of one draw: its places in the ranges, between their ends."""

    def value(name, known):
        low, high = (known.low, known.high) if isinstance(known, Range) else known
        return low + place[UNCERTAIN.index(name)] * (high - low)

    floor, flap = room.site.floor, room.figures.flap_area_m2 > 0.0
    return namespace(
        mass_kg_m2=value("cloth mass", room.cloth.mass_kg_m2), form=value("form", FORM_FACTOR),
        held_share=value("held flap", FLAP_HELD[floor]), discharge=value("discharge", DISCHARGE),
        hole_share=value("needle holes", HOLE_OPEN_SHARE), lap=value("seam laps", LAP_CRACK),
        ground_gap_m=value("gap at the ground", GROUND_GAP_MM[floor, flap]) / 1e3,
        curtain_share=value("curtain gap", CURTAIN_GAP_SHARE), permeability_m_s=0.0, gape=value("vent gape", VENT_GAPE),
        door_share=value("door in use", DOOR_IN_USE_SHARE), idle_share=value("idle fan", IDLE_SHARE),
        label_share=value("fan free air", (0.75, 1.0)), shut_off_place=place[UNCERTAIN.index("fan shut-off")],
        outlet_m2=math.pi / 4.0 * outlet_m**2, mixing=value("mixing", MIXING), person_W=value("people's warmth", PERSON_W),
        co2_share=value("people's CO2", CO2_SHARE), u_value=value("cloth's U-value", CLOTH_U_VALUE),
        setting_off_s=value("setting off", START_S), walk_m_s=value("walking", WALK_M_S),
        door_rate=value("doorway rate", RATE), speed=place[UNCERTAIN.index("fan speed")],
    )  # fmt: skip


def site_of(room):
    site = room.site
    return namespace(
        altitude_m=site.altitude_m, warm_C=site.air_temperature_C, share=site.relative_humidity,
        hall_m3=site.hall_volume_m3, hall_changes_s=site.hall_air_changes_h / 3600.0, visits=site.visits_in_a_row,
        visit_s=60.0 * site.visit_minutes, pause_s=60.0 * site.pause_minutes, background_ppm=site.background_co2_ppm,
        people=sum(part.count for part in site.crowd), other_W=site.lamps_W + room.fan.power_W,
        co2_L_s=sum(CO2_L_S[part.group] * part.count for part in site.crowd),
    )  # fmt: skip


@cache
def both(name, index):
    """The library's verdict of one case, and the same room in plain physics."""
    room = room_of(name)
    place = draws().uniform[index]
    one = Draws(place[None, :], np.ones(1))
    drawn = draw_room(room.figures, room.fan, room.cloth, room.site, None, one)
    label, outlet_m = LABELS[name]
    plain = PlainRoom(
        figures_of(room),
        case_of(room, place, outlet_m),
        site_of(room),
        namespace(label_m3_s=read_flow(label)),
    )
    return assess_drawn(drawn, drawn, (), None), plain


@pytest.fixture(params=[(name, index) for name in NAMES for index in CASES], ids=lambda p: f"{p[0]}-{p[1]}")
def case(request):
    return both(*request.param)


def ratio_of(verdict, plain, name):
    """Speed over full speed: the switch's ratios are the label's; a place between their ends."""
    known = verdict.fan.speed(name).ratio
    return known.low + plain.c.speed * (known.high - known.low)


def near(theirs):
    return pytest.approx(theirs, rel=0.01, abs=1e-9)


def test_the_limits_and_the_working_points_are_those_of_plain_physics(case):
    verdict, plain = case
    air = verdict.air
    assert air.density_kg_m3 == near(plain.density)
    assert air.hold_up_Pa.likely == near(plain.hold_up_Pa())
    assert air.lift_Pa.likely == near(plain.lift_Pa(verdict.drawn.site.ballast_kg))
    for speed in air.speeds:
        ratio, opening_m = ratio_of(verdict, plain, speed.name), speed.setting.opening_mm / 1e3
        pressure = plain.working_Pa(ratio, opening_m)
        assert speed.setting.pressure_Pa.likely == near(pressure)
        assert speed.setting.flow_m3_s.likely == near(plain.leaks(pressure, opening_m))
        assert speed.shut_pressure_Pa.likely == near(plain.working_Pa(ratio, 0.0))
        assert speed.door_pressure_Pa.likely == near(plain.working_Pa(ratio, opening_m, door=True))
        # one setting: what it does follows from its pressure, and from nothing else
        assert (speed.setting.chance_up == 1.0) == (pressure >= plain.hold_up_Pa())
        assert (speed.setting.chance_down == 1.0) == (
            pressure <= plain.lift_Pa(verdict.drawn.site.ballast_kg)
        )


def test_the_air_inside_is_that_of_plain_physics(case):
    verdict, plain = case
    for speed in verdict.air.speeds:
        flow = speed.setting.flow_m3_s.likely
        assert speed.inside.co2_ppm.likely == near(plain.co2_ppm(flow))
        assert speed.inside.temperature_C.likely == near(plain.warm_C(flow))
        assert speed.inside.wet_bulb_C.likely == pytest.approx(plain.wet_bulb_C(flow), abs=0.1)


def test_the_times_are_those_of_plain_physics(case):
    verdict, plain = case
    for speed in verdict.air.speeds:
        ratio = ratio_of(verdict, plain, speed.name)
        assert speed.fill_shut_s.likely == near(plain.fill_s(ratio))
        assert speed.fill_set_s.likely == near(plain.fill_s(ratio, speed.setting.opening_mm / 1e3))
    opening_m = verdict.air.setting.opening_mm / 1e3
    fastest = ratio_of(verdict, plain, verdict.air.speeds[-1].name)
    changed = {
        SinkingVariant.AS_SET: {},
        SinkingVariant.CLIPS_ON: {"clips": True},
        SinkingVariant.SLEEVE_FLAP: {"flap": True},
        SinkingVariant.CLIPS_AND_FLAP: {"clips": True, "flap": True},
        SinkingVariant.SECOND_FAN: {"second_ratio": fastest},
    }
    assert {escape.variant for escape in verdict.people.escapes} == set(changed)
    for escape in verdict.people.escapes:
        how = changed[escape.variant]
        shut, in_use = (plain.sink_s(opening_m, door, **how) for door in (False, True))
        assert escape.sink_shut_s.likely == near(shut)
        assert escape.sink_s.likely == near(in_use)


def test_people_out_in_time_are_those_of_plain_physics(case):
    verdict, plain = case
    kept = 1.0 if verdict.drawn.site.attendants else SAGGED_SHARE
    first, each = plain.leave(kept)
    assert verdict.people.leave_s.likely == near(first + verdict.people.inside * each)
    for escape in verdict.people.escapes:
        shut, in_use = escape.sink_shut_s.likely, escape.sink_s.likely

        def in_time(people, shut=shut, in_use=in_use):
            """One second with the doorway shut uses up 1/shut of the air, one with it in use 1/in_use."""
            door = max(people * each, OPEN_S)
            return max(first + people * each - door, 0.0) / shut + door / in_use <= 1.0

        most = next((n for n in range(10_000, 0, -1) if in_time(n)), 0) if in_time(1) else 0
        assert abs(escape.people - most) <= 1e-9 * most
        assert (escape.chance == 1.0) == in_time(verdict.people.inside)
