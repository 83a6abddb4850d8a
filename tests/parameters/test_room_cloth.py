"""The cloth that is bought is the cloth that safety is told of: whatever depends on its mass follows the roll's."""

import attrs
import pytest

from shellparts import Cloth, Design, Doorway, Shell, Sleeve, Workshop, build, cloth_roll, cloth_sheet
from shellparts.base.errors import ParameterError
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.stock.table import example_stock

GRAVITY = 9.80665
DESIGN = Design(
    name="weighed",
    shell=Shell(panels=8, across=3000, height=2400, wall=1000),
    doorway=Doorway(width=700, height=1500, length=1200, vent=300),
    sleeve=Sleeve(diameter=400, length=900, height=450),
)
FAN = fan_from_label("example fan", "0.8 m3/s", 400)


def room(mass_g_m2, **sewn):
    return build(DESIGN, FAN, cloth=cloth_roll("r", "2 m", mass_g_m2=mass_g_m2, **sewn))


@pytest.mark.parametrize(
    "mass_g_m2", [210.0, *(pytest.param(mass, marks=pytest.mark.sweep) for mass in (60.0, 900.0))]
)
def test_every_figure_follows_the_roll(mass_g_m2):
    light, heavy = room(100.0), room(mass_g_m2)
    share = mass_g_m2 / 100.0
    assert heavy.figures.cloth_mass_kg == pytest.approx(share * light.figures.cloth_mass_kg, rel=1e-12)
    cut_m2 = sum(p.count * p.outline.flat_area_mm2 for p in heavy.pattern.pieces) / 1e6
    # Allowances are a tenth or two of the cloth.
    assert cut_m2 < heavy.figures.cloth_mass_kg / (mass_g_m2 / 1000.0) < 1.35 * cut_m2
    numbers = heavy.first_look.record()
    assert numbers["hold_down"]["weight_N"] == pytest.approx(heavy.figures.cloth_mass_kg * GRAVITY, rel=0.01)
    for key in ("hold_up_pressure_Pa", "lift_pressure_Pa"):
        assert numbers["air"][key] == pytest.approx(
            share * light.first_look.record()["air"][key], rel=1e-6
        ), key
    weights = [[s.bundle_kg for s in one.order.steps] for one in (light, heavy)]
    assert weights[1] == pytest.approx([share * w for w in weights[0]], rel=1e-9)


def test_a_sheet_weighs_as_a_roll_does():
    sheet = cloth_sheet("s", ("6 m", "4 m"), ("5.9 m", "3.9 m"), 20, mass_g_m2=150)
    assert build(DESIGN, FAN, cloth=sheet).cloth.mass_kg_m2 == room(150).cloth.mass_kg_m2


def test_two_masses_are_refused_and_named():
    with pytest.raises(ParameterError, match=r"mass of the cloth is 90 g/m2 in Cloth and 400 g/m2 in 'r'"):
        room(400, mass_kg_m2=0.09)
    assert room(400, mass_kg_m2=0.4).cloth.mass_kg_m2.likely == 0.4
    strong = room(400, strength_N_m=20000.0).cloth
    assert (strong.strength_N_m, strong.mass_kg_m2.likely) == (20000.0, 0.4)


def test_without_a_mass_on_the_roll_the_cloth_has_its_own():
    assert room(None).cloth.mass_kg_m2 == Cloth().mass_kg_m2
    assert room(None, mass_kg_m2=0.3).cloth.mass_kg_m2.likely == 0.3


def test_sheets_of_two_masses_make_a_range():
    rows = [row for row in example_stock() if row.name.startswith("example sheet")]
    cloth = Cloth(rows, strength_N_m=9000.0)
    assert cloth.sheets == tuple(rows)
    # 90, 90, 90 and 120 g/m2
    assert attrs.astuple(cloth.mass_kg_m2) == pytest.approx((0.09, 0.0975, 0.12))


SMALL = ("small", ("4 m", "3 m"), ("3.9 m", "2.9 m"), 20)
LARGE = ("large", ("5 m", "4 m"), ("4.9 m", "3.9 m"), 20)


def test_other_sheets_of_one_cloth_stand_in_reserve():
    cloth = Cloth([cloth_sheet(*LARGE, on_hand=1, mass_g_m2=150), cloth_sheet(*SMALL)], strength_N_m=9000.0)
    assert [sheet.name for sheet in cloth.sheets] == ["large", "small"]
    assert (cloth.mass_kg_m2.likely, cloth.strength_N_m) == (0.15, 9000.0)
    laid = build(DESIGN, cloth=cloth).layout
    assert {layout.stock.name for layout in laid.layouts} == {"large", "small"}
    assert not laid.left_over and not laid.unfitting


@pytest.mark.parametrize(
    "stock",
    [
        [],
        ["a sheet"],
        [cloth_roll("r", "2 m"), cloth_sheet(*SMALL)],
        [cloth_roll("r", "2 m"), cloth_roll("s", "3 m")],
        None,
    ],
)
def test_stock_that_cannot_be_is_refused(stock):
    with pytest.raises(
        ParameterError, match=r"^stock of the cloth is .*one roll, or one or more kinds of sheet"
    ):
        Cloth(stock)


def test_what_sheets_of_one_cloth_share_is_said_once():
    with pytest.raises(
        ParameterError, match=r"^cloth among the stock of a cloth is 'small'; .* say how strong"
    ):
        Cloth([cloth_sheet(*LARGE), cloth_sheet(*SMALL, strength_N_m=9000.0)])


def test_cloth_in_the_workshop_is_sent_to_where_it_belongs():
    with pytest.raises(
        ParameterError, match=r"^cloth of the workshop is .*Remedy: write build\(design, cloth="
    ):
        Workshop(cloth=cloth_roll("r", "2 m"))
