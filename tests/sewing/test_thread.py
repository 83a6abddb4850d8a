"""Thread and time."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.sewing.thread import Machine, lockstitch_ratio, row_minutes, thread_length


def test_thin_cloth_takes_twice_its_length():
    assert lockstitch_ratio(0.0, 3.0) == 2.0


def test_longer_stitches_take_less():
    assert lockstitch_ratio(1.0, 4.0) < lockstitch_ratio(1.0, 2.0)


def test_rows_add_up_and_waste_is_a_share():
    plain = Machine(waste=0.0)
    rows = [thread_length(5000.0, (layers,), plain) for layers in (2, 3)]
    assert thread_length(5000.0, (2, 3), plain) == pytest.approx(sum(rows))
    assert thread_length(5000.0, (2, 3), Machine(waste=0.2)) == pytest.approx(1.2 * sum(rows))


def test_time_is_length_over_pace():
    assert row_minutes(12_000.0, 2, Machine(pace_m_min=2.0)) == pytest.approx(12.0)


def test_a_stitch_of_no_length_is_refused():
    with pytest.raises(ParameterError, match="length of a stitch is 0 mm; it must be more than 0 mm"):
        lockstitch_ratio(1.0, 0.0)
