"""Pieces larger than the cloth are divided so that every part fits, and the room still goes together."""

from itertools import pairwise

import numpy as np
import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from model_rooms import NAMES, room_of
from room_checks import check_pattern, sewing_polygon

from shellparts import Design, Doorway, Flap, Shell, Sleeve, Workshop, build, cloth_roll, cloth_sheet
from shellparts.build.room import Room
from shellparts.parameters import Allowances
from shellparts.pattern.cut_pieces import fits
from shellparts.pattern.seam_kinds import JOIN
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_check import order_faults
from shellparts.stock.layout import cut_pieces


def narrow(name: str, width: str) -> Room:
    return evolve(room_of(name), cloth=cloth_roll("example narrow roll", width=width))


def check_divided(room: Room) -> None:
    check_pattern(room)
    stocks, turning = room.cloth.stocks, Workshop().turning
    for piece in cut_pieces(room.pattern):
        assert any(fits(piece, stock, turning) for stock in stocks), piece.name
    graph = SewingGraph.of(room.pattern)
    assert order_faults(graph, [step.task for step in room.order.steps]) == []
    joins = [seam for seam in room.pattern.seams if seam.seam_class == JOIN]
    first = [seam for step in room.order.steps for seam in step.task.seams][: len(joins)]
    assert sorted(first) == sorted(seam.id for seam in joins), "joins come first"
    assert all(seam.allowance_mm == room.design.allowances.join for seam in joins)


@pytest.mark.parametrize(
    ("name", "width"),
    [
        ("lantern_room", "2 m"),
        ("lantern_room", "1.2 m"),
        ("tide_dome", "2 m"),
        ("tide_dome", "0.9 m"),
        ("orchard_pavilion", "1.2 m"),
    ],
)
def test_parts_fit_and_go_together(name, width):
    room = narrow(name, width)
    assert any(seam.seam_class == JOIN for seam in room.pattern.seams)
    check_divided(room)


def test_what_fits_is_left_whole():
    for name in NAMES:
        pattern = room_of(name).pattern
        assert not any(seam.seam_class == JOIN for seam in pattern.seams), name


def test_a_part_is_the_whole_piece_cut_by_straight_lines():
    """Put together again along their joins, the parts are the piece that was divided (shapely)."""
    whole = sewing_polygon(room_of("tide_dome").pattern.piece("tunnel"))
    parts = [
        sewing_polygon(p) for p in narrow("tide_dome", "1.2 m").pattern.pieces if p.name.startswith("tunnel")
    ]
    assert len(parts) == 2
    assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=1e-9)
    assert sum(part.length for part in parts) - whole.length == pytest.approx(
        2 * whole_width(parts), rel=1e-6
    )


def whole_width(parts) -> float:
    """The parts lie level on the table: the lower one's topmost level edge is the join."""
    ring = np.asarray(parts[0].exterior.coords)
    top = ring[np.isclose(ring[:, 1], ring[:, 1].max(), atol=1e-6)]
    return float(np.ptp(top[:, 0]))


def test_joins_of_neighbouring_panels_are_apart():
    """Panels 4.8 m long that must lie across a roll of 1.2 m: joins by turns, 300 mm or more apart."""
    room = narrow("lantern_room", "1.2 m")
    heights: dict[str, list[float]] = {}
    for piece in room.pattern.pieces:
        for sheet in piece.sheets:
            if sheet.startswith("panel"):
                heights.setdefault(sheet[:8], []).append(piece.extent_mm[1])
    plain = [f"panel_{i:02d}" for i in range(3, 7)]
    for a, b in pairwise(plain):
        assert abs(heights[a][0] - heights[b][0]) > 250.0


@pytest.mark.parametrize("name", NAMES)
def test_felled_joins_have_one_wide_and_one_narrow_side(name):
    room = narrow(name, "1.2 m")
    design = evolve(room.design, allowances=Allowances(join=24, join_seam="flat_felled"))
    pattern = build(design, cloth=room.cloth).pattern
    joins = [seam for seam in pattern.seams if seam.seam_class == JOIN]
    assert joins
    assert all(sorted(seam.allowances_mm) == [12.0, 24.0] for seam in joins)


def test_a_sheet_shorter_than_a_panel_needs_one_join_a_panel():
    sheet = cloth_sheet("example sheet", ("4 m", "3 m"), ("3.9 m", "2.9 m"), "20 mm")
    room = evolve(room_of("lantern_room"), cloth=sheet)
    check_divided(room)
    panels = [p for p in room.pattern.pieces if p.name.startswith("panel")]
    assert sum(p.count for p in panels) == 2 * 12
    # 4.78 m of panel on 3.86 m: the parts above the join are the rest of it, at 100 mm steps, well apart
    assert {p.name[6:7] for p in panels if not p.name.startswith(("panel_d", "panel_s"))} == {"a", "b"}


@settings(
    max_examples=3, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
@given(
    st.integers(5, 14),
    st.sampled_from(["straight", "dome", "pointed"]),
    st.floats(2500, 6500),
    st.floats(0.45, 0.95),
    st.sampled_from([0.0, 800.0]),
    st.sampled_from([1000.0, 1400.0, 1600.0, 2000.0, 3000.0]),
    st.booleans(),
)
def test_random_rooms_off_narrow_rolls(panels, profile, across, share, wall, width, on_seam):
    high = across * (share if profile != "pointed" else 0.55 + share) + wall
    if profile == "dome":
        high = min(high, across / 2 + wall)
    design = Design(
        name="narrow",
        shell=Shell(panels=panels, across=across, height=high, wall=wall, profile=profile, stop_short=200),
        doorway=Doorway(
            width=max(400.0, min(700.0, 0.25 * across)),
            height=max(600.0, 0.38 * high),
            length=1600,
            head="flat",
            centred_on="seam" if on_seam else "panel",
        ),
        sleeve=Sleeve(diameter=150, length=900, height=260, panel=panels // 2 + 1),
        flap=Flap(depth=150, sewn_on=on_seam),
    )
    room = build(design, cloth=cloth_roll("example", width=width))
    check_pattern(room)
    named = {one.name for one in room.layout.unfitting}
    stocks, turning = room.cloth.stocks, Workshop().turning
    for piece in cut_pieces(room.pattern):
        assert piece.name in named or any(fits(piece, stock, turning) for stock in stocks), piece.name


def test_a_join_may_cut_a_bulge_off():
    """The panel is wider between two points of its profile than at either: one edge meets the join at both its ends."""
    points = [(3238, 0), (3595, 1194), (3403, 1883), (2576, 3368), (2412, 3532), (0, 5526)]
    shell = Shell(panels=8, profile="points", smooth=True, measured="middles", points=points)
    cloth = cloth_roll("example roll", width="3 m")
    room = build(Design(name="bulging", shell=shell), cloth=cloth)
    check_divided(room)
    assert any(len(piece.edges) == 2 for piece in room.pattern.pieces)
