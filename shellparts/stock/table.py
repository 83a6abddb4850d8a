"""The stock table: a generic example that ships, and the reader's own from a CSV file.

Glossary: a *stock table* has one row per roll or sheet; lengths are millimetres or a text with a unit (``"6
ft"``), empty cells mean "not known" or "as many as wanted". The example table is invented: sizes, masses and
prices in it are no offer. This module does not lay anything out.
"""

import csv
import io
from pathlib import Path
from typing import TypeVar

from shellparts.base.checks import require
from shellparts.base.errors import ParameterError
from shellparts.base.units import to_mm
from shellparts.parameters.stocks import Roll, Sheet, Side, Weave

__all__ = ["EXAMPLE_STOCK_CSV", "example_stock", "read_stock_csv", "stock_from_text"]

EXAMPLE_STOCK_CSV = """\
kind,name,length,width,finished_length,finished_width,edge,count,price,mass_g_m2,side,weave,weave_deg
roll,example roll 1.5 m,,1500 mm,,,10 mm,,4.00,70,same both sides,two way,0
roll,example roll 3.0 m,,3000 mm,,,10 mm,,9.00,110,same both sides,two way,0
roll,example coated roll 1.6 m,,1600 mm,,,15 mm,,7.50,150,right side,two way,0
sheet,example sheet 2 x 3 m,3000 mm,2000 mm,2900 mm,1900 mm,30 mm,,9.00,90,same both sides,square,0
sheet,example sheet 4 x 5 m,5000 mm,4000 mm,4880 mm,3880 mm,30 mm,,28.00,90,same both sides,square,0
sheet,example sheet 4 x 6 m,6000 mm,4000 mm,5880 mm,3880 mm,30 mm,,33.00,90,same both sides,square,0
sheet,example sheet 12 x 16 ft,16 ft,12 ft,15 ft 6 in,11 ft 6 in,1 1/4 in,,30.00,120,same both sides,square,0
"""

_Words = TypeVar("_Words", Side, Weave)
_COLUMNS = EXAMPLE_STOCK_CSV.splitlines()[0].split(",")
_REMEDY = "start from the example table, EXAMPLE_STOCK_CSV, and change its rows"


def _number(text: str, what: str) -> float | None:
    """Read a plain number, or None from an empty cell."""
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise ParameterError(what, repr(text), "a plain number or empty", _REMEDY) from None


def _choice(kind: type[_Words], text: str, what: str, default: _Words) -> _Words:
    """Read one of the words of an enum."""
    if not text:
        return default
    try:
        return kind(text.lower())
    except ValueError:
        words = ", ".join(repr(member.value) for member in kind)
        raise ParameterError(what, repr(text), f"one of {words}", _REMEDY) from None


def _row(row: dict[str, str], where: str) -> Roll | Sheet:
    """Make one roll or sheet of one row."""

    def needed(key: str) -> float:
        if not row[key]:
            raise ParameterError(f"{where}, {key}", "empty", "a length", _REMEDY)
        return to_mm(row[key], f"{where}, {key}")

    def optional(key: str) -> float | None:
        return to_mm(row[key], f"{where}, {key}") if row[key] else None

    price, mass = _number(row["price"], f"{where}, price"), _number(row["mass_g_m2"], f"{where}, mass_g_m2")
    side = _choice(Side, row["side"], f"{where}, side", Side.SAME)
    weave_deg = _number(row["weave_deg"], f"{where}, weave_deg") or 0.0
    edge = optional("edge") or 0.0
    if row["kind"] == "roll":
        return Roll(
            name=row["name"], width_mm=needed("width"), edge_mm=edge, price_per_m=price, mass_g_m2=mass,
            length_mm=optional("length"), side=side, weave_deg=weave_deg,
            weave=_choice(Weave, row["weave"], f"{where}, weave", Weave.TWO_WAY),
        )  # fmt: skip
    if row["kind"] == "sheet":
        count = _number(row["count"], f"{where}, count")
        if count is not None and count != int(count):
            raise ParameterError(f"{where}, count", row["count"], "a whole number or empty", _REMEDY)
        return Sheet(
            name=row["name"], nominal_length_mm=needed("length"), nominal_width_mm=needed("width"),
            finished_length_mm=needed("finished_length"), finished_width_mm=needed("finished_width"),
            hem_mm=edge, count=None if count is None else int(count), price=price, mass_g_m2=mass, side=side,
            weave_deg=weave_deg, weave=_choice(Weave, row["weave"], f"{where}, weave", Weave.SQUARE),
        )  # fmt: skip
    raise ParameterError(f"{where}, kind", repr(row["kind"]), "'roll' or 'sheet'", _REMEDY)


def stock_from_text(text: str) -> tuple[Roll | Sheet, ...]:
    """Read a stock table from CSV text with the columns of `EXAMPLE_STOCK_CSV`.

    Raises
    ------
    ParameterError
        If a column is missing, a cell cannot be read, or a name appears twice.

    Examples
    --------
    >>> stock_from_text(EXAMPLE_STOCK_CSV)[0].width_mm
    1500.0
    """
    reader = csv.DictReader(io.StringIO(text), restkey="surplus", restval="")
    missing = [name for name in _COLUMNS if name not in (reader.fieldnames or [])]
    without = f"without {', '.join(missing)}"
    require(not missing, "stock table", without, f"columns {', '.join(_COLUMNS)}", _REMEDY)
    stock: list[Roll | Sheet] = []
    for raw in reader:
        where = f"stock table, line {reader.line_num}"
        limit, remedy = f"{len(_COLUMNS)} cells", "quote texts with commas"
        require("surplus" not in raw, where, "longer than its heading", limit, remedy)
        stock.append(_row({key: value.strip() for key, value in raw.items()}, where))
    names = [item.name for item in stock]
    for name in sorted(names):
        once, twice = names.count(name) == 1, f"with {name!r} twice"
        require(once, "stock table", twice, "one row per name", "give each row its own name")
    return tuple(stock)


def read_stock_csv(path: str | Path) -> tuple[Roll | Sheet, ...]:
    """Read the reader's own stock table, a CSV file in UTF-8 with the columns of `EXAMPLE_STOCK_CSV`, or refuse it."""
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        raise ParameterError("stock table", str(path), f"a readable CSV file ({fault})", _REMEDY) from None
    return stock_from_text(text)


def example_stock() -> tuple[Roll | Sheet, ...]:
    """Read the example table that ships; every name in it holds the word "example"."""
    return stock_from_text(EXAMPLE_STOCK_CSV)
