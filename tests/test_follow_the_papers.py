"""A reader with a sewing machine and the files alone gets through every step."""

import re
from itertools import islice

import pytest
from attrs import evolve
from follow_the_papers import faults_of, write_papers
from ordinary_rooms import followed


@pytest.fixture(scope="module", params=["lantern_room", "orchard_pavilion"])
def folder(request, rooms, tmp_path_factory):
    """The papers of a shipped room."""
    found = tmp_path_factory.mktemp(request.param) / "out"
    write_papers(rooms[request.param], found)
    return found


def test_a_shipped_room_can_be_sewn_from_its_papers(folder):
    assert faults_of(folder) == []


@pytest.mark.parametrize("folder", ["lantern_room"], indirect=True)
def test_what_is_missing_on_the_papers_is_found(folder):
    """Taken away one after the other: the name of an edge, a row, a notch, a place, a strip, the clips."""
    cuts = {
        "flat/panel.svg": (r">e3 hem</text>", "></text>", "panel_02:e3 is on no drawing"),
        "tables/rows.csv": (r"\n25,S04,.*", "", "the row of panel_01:e6+tunnel:e2"),
        "tables/notches.csv": (r"\ntunnel,e2,.*", "", "the notches of panel_01:e6+tunnel:e2"),
        "layout/places.svg": (r">panel_05<", "><", "panel_05 is not on the view from above"),
        "tables/strips.csv": (r"\nstrip_panel_07.*", "", "no strip is long enough for panel_07:e5"),
        "flat/tunnel.svg": (r"CLIP_ON_HERE", "GONE", "clips on tunnel:e7 are not drawn"),
    }
    for file, (pattern, instead, fault) in cuts.items():
        path = folder / file
        kept = path.read_text(encoding="utf-8")
        changed = re.sub(pattern, instead, kept)
        assert changed != kept, file
        path.write_text(changed, encoding="utf-8")
        assert any(fault in one for one in faults_of(folder)), fault
        path.write_text(kept, encoding="utf-8")
    assert faults_of(folder) == []


def test_rooms_of_all_kinds_can_be_sewn_from_their_papers():
    found = [followed(seed) for seed in (4, 9)]
    assert found == [[], []]


@pytest.mark.sweep
@pytest.mark.parametrize(
    ("first", "laid", "many"), [(100, True, 6), *((at, False, 12) for at in range(1000, 1800, 100))]
)
def test_a_hundred_rooms_can_be_sewn_from_their_papers(first, laid, many):
    """Those of the first kind with layouts, which take longer to find than all the rest."""
    drawn = (followed(seed, laid) for seed in range(first, first + 100))
    found = list(islice((faults for faults in drawn if faults is not None), many))
    assert found == [[]] * many


def test_a_longer_spacing_of_clips_is_drawn_and_bought(rooms):
    room = evolve(rooms["lantern_room"], site=evolve(rooms["lantern_room"].site, clip_spacing_mm=200.0))
    line = next(one for one in room.materials.lines if one.item == "clips for the vent")
    assert line.quantity == 6  # 600 mm on each side
