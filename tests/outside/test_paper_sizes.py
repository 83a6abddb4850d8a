"""Paper and pages against the standards that define them."""

import pytest

from shellparts.base.errors import ParameterError
from shellparts.drawing.paper import LONGEST_PAGE_MM, POINTS_PER_MM, PaperSheet, sheet_of
from shellparts.parameters import Printing, Tape


@pytest.mark.parametrize(
    ("paper", "size_mm"),
    [
        # ISO 216, main series: A4 210 x 297 mm, A3 297 x 420 mm.
        ("A4", (210.0, 297.0)),
        ("A3", (297.0, 420.0)),
        # ANSI/ASME Y14.1: size A 8.5 x 11 in, size B 11 x 17 in.
        ("letter", (8.5 * 25.4, 11.0 * 25.4)),
        ("tabloid", (11.0 * 25.4, 17.0 * 25.4)),
    ],
)
def test_sizes(paper, size_mm):
    sheet = sheet_of(Printing(paper=paper), Tape.METRIC)
    assert (sheet.width_mm, sheet.height_mm) == size_mm


def test_two_a4_make_an_a3():
    """ISO 216: halving a size across its long side gives the next one, to the millimetre."""
    small, large = (sheet_of(Printing(paper=p), Tape.METRIC) for p in ("A4", "A3"))
    assert large.width_mm == small.height_mm
    assert large.height_mm == pytest.approx(2 * small.width_mm, abs=1.0)


def test_points():
    """ISO 32000-1, 8.3.2.3: the unit of user space is 1/72 in; letter is 612 x 792."""
    assert sheet_of(Printing(paper="letter"), Tape.METRIC).points == pytest.approx((612.0, 792.0))
    assert pytest.approx(72.0) == POINTS_PER_MM * 25.4


def test_longest_page():
    """ISO 32000-1, annex C: a page is at most 14 400 units long, which is 200 in, 5.08 m."""
    assert pytest.approx(5080.0) == LONGEST_PAGE_MM
    assert PaperSheet(900.0, 5080.0, "plot").points[1] == pytest.approx(14_400)
    with pytest.raises(ParameterError, match="readers of PDF would shrink a longer one"):
        PaperSheet(900.0, 5080.5, "plot")
