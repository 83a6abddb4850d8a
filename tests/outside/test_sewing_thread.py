"""Thread and loads against the trade's own figures."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.sewing.thread import Machine, lockstitch_ratio


def test_thread_of_a_lockstitch():
    """Trade formula for stitch type 301 of ISO 4915, C = 2 + 2 T S: cloth of 0.01 in, 10 stitches an inch."""
    assert lockstitch_ratio(0.01 * 25.4, 25.4 / 10) == pytest.approx(2.2, abs=1e-12)


def test_the_usual_ratio_lies_in_the_range_of_ordinary_sewing():
    """The trade reckons 2.5 for a lockstitch (common practice): it is met between 1 mm and 0.5 mm of cloth."""
    assert lockstitch_ratio(0.5, 2.5) < 2.5 < lockstitch_ratio(1.0, 2.5)


def test_waste_is_what_the_trade_reckons():
    """10 to 20 % for ends and breakage (common practice)."""
    assert 0.1 <= Machine().waste <= 0.2


def test_nobody_holds_more_than_the_load_constant():
    """NIOSH publication 94-110: load constant 23 kg."""
    assert Machine(load_kg=23.0).load_kg == 23.0
    with pytest.raises(ParameterError, match="at most 23 kg"):
        Machine(load_kg=23.1)


def test_the_cloth_is_a_relief_shelter_sheet():
    """Specification of woven polyethylene sheet for relief shelters: 187 to 227 g/m2."""
    assert 0.187 <= Machine().mass_kg_m2 <= 0.227
