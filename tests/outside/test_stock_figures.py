"""Quantities against figures from outside the project."""

from shellparts.stock import quantities


def test_iso_216_halving():
    # ISO 216: A0 (841 x 1189 mm) is 16 sheets of A4 (210 x 297 mm), to within its rounding to the millimetre.
    assert quantities.paper_pages(1188.0, 840.0, page_mm=(210.0, 297.0), overlap_mm=0.0) == 16
