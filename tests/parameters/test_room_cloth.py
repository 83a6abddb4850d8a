"""The cloth that is bought is the cloth that safety is told of: whatever depends on its mass follows the roll's."""

import attrs
import pytest

from shellparts import Cloth, Design, Doorway, Shell, Sleeve, Workshop, build, cloth_roll, cloth_sheet
from shellparts.base.errors import ParameterError
from shellparts.parameters.fan_sources import fan_from_label

GRAVITY = 9.80665
DESIGN = Design(
    name="weighed",
    shell=Shell(panels=8, across=3000, height=2400, wall=1000),
    doorway=Doorway(width=700, height=1500, length=1200, vent=300),
    sleeve=Sleeve(diameter=400, length=900, height=450),
)
FAN = fan_from_label("example fan", "0.8 m3/s", 400)


def room(mass_g_m2, cloth=None):
    return build(
        DESIGN, FAN, cloth=cloth, workshop=Workshop(cloth=cloth_roll("r", "2 m", mass_g_m2=mass_g_m2))
    )


@pytest.mark.parametrize("mass_g_m2", [60.0, 210.0, 900.0])
def test_every_figure_follows_the_roll(mass_g_m2):
    light, heavy = room(100.0), room(mass_g_m2)
    share = mass_g_m2 / 100.0
    assert heavy.figures.cloth_mass_kg == pytest.approx(share * light.figures.cloth_mass_kg, rel=1e-12)
    cut_m2 = sum(p.count * p.outline.flat_area_mm2 for p in heavy.pattern.pieces) / 1e6
    # Allowances are a tenth or two of the cloth.
    assert cut_m2 < heavy.figures.cloth_mass_kg / (mass_g_m2 / 1000.0) < 1.35 * cut_m2
    numbers = heavy.numbers()
    assert numbers["hold_down"]["weight_N"] == pytest.approx(heavy.figures.cloth_mass_kg * GRAVITY, rel=0.01)
    for key in ("hold_up_pressure_Pa", "lift_pressure_Pa"):
        assert numbers["air"][key] == pytest.approx(share * light.numbers()["air"][key], rel=1e-6), key
    weights = [[s.bundle_kg for s in one.order.steps] for one in (light, heavy)]
    assert weights[1] == pytest.approx([share * w for w in weights[0]], rel=1e-9)
    assert heavy.materials.mass_kg == pytest.approx(share * light.materials.mass_kg, rel=1e-9)


def test_a_sheet_weighs_as_a_roll_does():
    sheet = cloth_sheet("s", ("6 m", "4 m"), ("5.9 m", "3.9 m"), 20, mass_g_m2=150)
    assert build(DESIGN, FAN, workshop=Workshop(cloth=sheet)).cloth.mass_kg_m2 == room(150).cloth.mass_kg_m2


def test_two_masses_are_refused_and_named():
    with pytest.raises(ParameterError, match=r"mass of the cloth is 90 g/m2 in Cloth and 400 g/m2 in 'r'"):
        room(400, Cloth(mass_kg_m2=0.09))
    assert room(400, Cloth(mass_kg_m2=0.4)).cloth.mass_kg_m2.likely == 0.4
    strong = room(400, Cloth(strength_N_m=20000.0)).cloth
    assert (strong.strength_N_m, strong.mass_kg_m2.likely) == (20000.0, 0.4)


def test_without_a_mass_on_the_roll_the_cloth_has_its_own():
    assert room(None).cloth == Cloth()
    assert room(None, Cloth(mass_kg_m2=0.3)).cloth.mass_kg_m2.likely == 0.3
    assert attrs.evolve(room(None), cloth=Cloth()).cloth == Cloth()
