"""Quantities against figures from outside the project."""

import pytest

from shellparts.stock import notions


def test_thread_of_a_lockstitch():
    # Trade formula for stitch type 301 of ISO 4915: C = 2 + 2 T S; T = 0.01 in, S = 10 per in gives 2.2.
    assert notions.thread_ratio(0.01 * 25.4, 25.4 / 10.0) == pytest.approx(2.2, abs=0.05)


def test_iso_216_halving():
    # ISO 216: A0 (841 x 1189 mm) is 16 sheets of A4 (210 x 297 mm), to within its rounding to the millimetre.
    assert notions.paper_pages(1188.0, 840.0, page_mm=(210.0, 297.0), overlap_mm=0.0) == 16
