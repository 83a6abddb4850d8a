"""What a model script says of cloth, prices and patience."""

import pytest

from shellparts import Cloth, ParameterError, Workshop, cloth_roll, cloth_sheet
from shellparts.parameters.cloth import EXAMPLE_ROLL
from shellparts.parameters.stocks import Weave
from shellparts.parameters.workshop import EffortLevel, Templates
from shellparts.stock.packer import BEST, BETTER, QUICK, effort_of
from shellparts.stock.table import example_stock


def test_cloth_that_is_told_nothing_comes_off_an_example_roll():
    assert Cloth().roll is EXAMPLE_ROLL
    assert "example" in EXAMPLE_ROLL.name
    assert Cloth().sheets == ()


def test_sheets_are_read_in_any_unit():
    cloth = cloth_sheet(
        "s",
        ("20 ft", "16 ft"),
        ("19 ft 6 in", "15 ft 6 in"),
        "1 1/4 in",
        price=55.0,
        on_hand=3,
        right_side=True,
    )
    (sheet,) = cloth.sheets
    # 1 ft = 304.8 mm exactly: international yard and pound agreement of 1959.
    assert sheet.nominal_length_mm == pytest.approx(6096.0)
    assert sheet.finished_width_mm == pytest.approx(4724.4)
    assert sheet.usable_width_mm == pytest.approx(4724.4 - 63.5)
    assert (sheet.count, sheet.price, sheet.side.value) == (3, 55.0, "right side")
    assert cloth.roll is None


def test_rolls_are_read_in_any_unit():
    roll = cloth_roll("r", width="60 in", edge="1/2 in", weave="two way", on_hand="20 m").roll
    assert (roll.width_mm, roll.edge_mm, roll.length_mm) == (1524.0, 12.7, 20000.0)
    assert roll.weave is Weave.TWO_WAY


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: cloth_roll("r", width="wide"), "width of r is 'wide'"),
        (lambda: cloth_roll("r", width=1500, weave="twill"), "weave is 'twill'"),
        (lambda: Workshop(layout="slow"), "layout is 'slow'"),
        (lambda: Workshop(spare=-0.1), "spare share of cloth"),
    ],
)
def test_what_cannot_be_is_refused(made, message):
    with pytest.raises(ParameterError, match=message):
        made()


def test_patience_grows():
    efforts = [effort_of(patience) for patience in (EffortLevel.QUICK, EffortLevel.BETTER, EffortLevel.BEST)]
    assert efforts[1:] == [BETTER, BEST]
    assert efforts[0].steps <= QUICK.steps
    assert efforts[0].steps < efforts[1].steps < efforts[2].steps


def test_a_list_of_kinds_and_templates():
    sheets = [one for one in example_stock() if one.name.startswith("example sheet 4")]
    assert len(Cloth(sheets).sheets) == 2
    assert Workshop(templates=Templates.NONE).templates is Templates.NONE
