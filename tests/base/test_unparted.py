"""Lines are broken between words, never inside a measure; what is said stays the same."""

import textwrap

from hypothesis import given, settings
from hypothesis import strategies as st

from shellparts.base.units import feet_inches
from shellparts.base.unparted import NO_BREAK, unparted

units = st.sampled_from(["mm", "m", "m2", "kg", "g/m2", "Pa", "s", "min", "%", "l/s", "sq ft", "lb"])
metric = st.builds(lambda value, unit: f"{value:g} {unit}", st.floats(0.1, 9e5), units)
inches = st.builds(feet_inches, st.floats(1.0, 9e4))
named = st.builds(
    lambda name, number: f"{name} {number}", st.sampled_from(["step", "S", "page"]), st.integers(1, 99)
)
places = st.sampled_from(["panel_07 e3", "cap e12", "tunnel e1"])
measures = st.one_of(metric, inches, named, places)


@settings(max_examples=50)
@given(
    st.lists(
        st.tuples(measures, st.sampled_from(["of cloth", "wide, then", "and", "for the hem"])), min_size=1
    ),
    st.integers(30, 60),
)
def test_a_measure_stands_on_one_line(parts, width):
    text = " ".join(f"{measure} {word}" for measure, word in parts)
    kept = unparted(text)
    assert kept.replace(NO_BREAK, " ") == text
    lines = [line.replace(NO_BREAK, " ") for line in textwrap.wrap(kept, width, break_long_words=False)]
    left = iter(lines)
    line = next(left)
    for measure, _ in parts:
        while measure not in line:
            line = next(left)  # runs out where a measure is broken
        line = line.split(measure, 1)[1]
    assert lines


def test_words_between_measures_may_be_parted():
    assert NO_BREAK not in unparted("3 clips off on each side, 14 bags on the flap")
