"""Common practice, no source, nothing fitted: the outcomes that builders know, as chances of the draws.

The room, its fan and what is not known of them are those of `test_loads_common_practice`.
"""

import pytest
from test_loads_common_practice import DOORWAY_SEAM_MM, everywhere, room_of_15_feet

from shellparts.base.ranges import exact
from shellparts.loads.room_draws import RoomDraws, room_draws
from shellparts.loads.settings import Settings, find_settings, setting_at
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.parameters.site import Site


def drawn(shape: str, mass: float, outlet: float | None, flap_m: float, ballast_kg: float = 0.0) -> RoomDraws:
    fan = fan_from_label("drum fan", "3500 cfm", outlet)
    cloth = Cloth(mass_kg_m2=exact(mass))
    return room_draws(room_of_15_feet(shape, mass, flap_m), fan, cloth, Site(ballast_kg=ballast_kg))


def chances_of(*case: object) -> Settings:
    return find_settings(drawn(*case))


@everywhere
def test_with_the_vent_shut_the_base_lifts(shape, mass, outlet):
    for flap_m in (0.0, 0.3):
        room = drawn(shape, mass, outlet, flap_m)
        slowest, *_, fastest = room.fan.fan.speeds
        assert setting_at(room, slowest, 0.0).chance_down < 0.5
        assert setting_at(room, fastest, 0.0).chance_down < 0.02


@everywhere
def test_with_part_of_the_seam_open_it_stands_and_wide_open_it_sags(shape, mass, outlet):
    room = drawn(shape, mass, outlet, 0.3)
    found = find_settings(room)
    # moved clip by clip on the day, some setting stands, at less than half of the seam
    assert found.chance_some > 0.9
    assert 0.0 < found.best.opening_mm < 0.5 * DOORWAY_SEAM_MM
    for speed in room.fan.fan.speeds:
        assert setting_at(room, speed, DOORWAY_SEAM_MM).chance_up < 0.05


@everywhere
def test_a_flap_or_ballast_widens_the_band(shape, mass, outlet):
    bare, flap, wide_flap, ballast, both = (
        chances_of(shape, mass, outlet, flap_m, kg)
        for flap_m, kg in ((0.0, 0.0), (0.3, 0.0), (0.6, 0.0), (0.0, 14.0), (0.3, 14.0))
    )
    # without either there is next to no band, and hardly any setting
    assert bare.best.chance < 0.1 and bare.chance_some < 0.3
    assert bare.best.chance < flap.best.chance < wide_flap.best.chance
    assert flap.chance_some > 0.9
    assert ballast.best.chance > 0.4 and both.best.chance > ballast.best.chance


@pytest.mark.parametrize("mass", [0.09, 0.2])
def test_untuned_a_flap_alone_is_a_gamble_and_40_kg_is_not(mass):
    alone, held = (chances_of("upright with a low roof", mass, 610.0, 0.3, kg) for kg in (0.0, 40.0))
    assert alone.best.chance < 0.5 and alone.best.from_mm is None
    assert held.best.chance > 0.95 and held.best.to_mm > held.best.from_mm
