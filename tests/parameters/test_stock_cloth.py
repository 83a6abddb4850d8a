"""Stock as it is sold, and the table it is read from."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.parameters.stocks import Roll, Sheet, Side, Turning, TurnRule, Weave
from shellparts.stock.table import EXAMPLE_STOCK_CSV, example_stock, read_stock_csv, stock_from_text


def test_example_table_reads_and_says_it_is_an_example():
    stock = example_stock()
    assert {type(item) for item in stock} == {Roll, Sheet}
    assert all("example" in item.name for item in stock)


def test_feet_and_inches_are_read():
    sheet = next(item for item in example_stock() if "16 ft" in item.name)
    assert sheet.finished_length_mm == pytest.approx(15.5 * 304.8)
    assert sheet.usable_width_mm == pytest.approx(11.5 * 304.8 - 2 * 1.25 * 25.4)


def test_readers_own_table(tmp_path):
    path = tmp_path / "mine.csv"
    head = EXAMPLE_STOCK_CSV.splitlines()[0]
    path.write_text(
        head + "\nsheet,mine,3000,2000,2900,1900,30,4,,,right side,two way,90\n", encoding="utf-8-sig"
    )
    (sheet,) = read_stock_csv(path)
    assert (sheet.count, sheet.price, sheet.side, sheet.weave) == (4, None, Side.RIGHT, Weave.TWO_WAY)
    assert sheet.weave_deg == 90.0


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("bolt,x,1,1,1,1,1,1,1,1,,,", r"kind is 'bolt'; it must be 'roll' or 'sheet'"),
        ("roll,x,,,,,,,,,,,", r"width is empty; it must be a length"),
        ("roll,x,,5 yd,,,,,,,,sideways,", r"weave is 'sideways'; it must be one of 'one way'"),
        ("roll,x,,5 kg,,,,,,,,,", r"width is '5 kg'"),
        ("sheet,x,3000,2000,2900,1900,30,1.5,,,,,", r"count is 1.5; it must be a whole number"),
        ("roll,x,,1500,,,,,cheap,,,,", r"price is 'cheap'; it must be a plain number"),
        ("roll,x,,1500,,,,,,,,,,more", r"longer than its heading"),
    ],
)
def test_bad_rows_name_line_and_column(row, message):
    with pytest.raises(ParameterError, match=message):
        stock_from_text(EXAMPLE_STOCK_CSV.splitlines()[0] + "\n" + row + "\n")


def test_missing_column_and_file(tmp_path):
    with pytest.raises(ParameterError, match=r"stock table is without .*weave_deg"):
        stock_from_text("kind,name\nroll,x\n")
    with pytest.raises(ParameterError, match="a readable CSV file"):
        read_stock_csv(tmp_path / "none.csv")


def test_one_row_per_name():
    row = "roll,x,,1500,,,,,,,,,"
    with pytest.raises(ParameterError, match="with 'x' twice"):
        stock_from_text("\n".join([EXAMPLE_STOCK_CSV.splitlines()[0], row, row]))


def test_a_sheet_is_not_larger_than_its_label():
    with pytest.raises(
        ParameterError, match="finished length is 3100 mm; it must be at most the nominal 3000 mm"
    ):
        Sheet(
            name="s",
            nominal_length_mm=3000,
            nominal_width_mm=2000,
            finished_length_mm=3100,
            finished_width_mm=1900,
        )


def test_a_roll_must_keep_some_width():
    with pytest.raises(ParameterError, match="width between the edges is 0 mm"):
        Roll(name="r", width_mm=100.0, edge_mm=50.0)


def test_turning_tolerance_is_a_few_degrees():
    with pytest.raises(ParameterError, match="turning tolerance is 60 deg"):
        Turning(TurnRule.FEW_DEGREES, 60.0)
