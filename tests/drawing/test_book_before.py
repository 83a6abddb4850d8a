"""What is done before a row can be sewn, and what the day's chapter says once: told where the cloth asks for it."""

import math
import re
from itertools import pairwise

import numpy as np
import pytest
from book_rooms import book_of, flat

from shellparts.base.classes import evolve
from shellparts.drawing.blocks import Boxes, Grid, Numbered, Section, Words
from shellparts.drawing.book import book_blocks
from shellparts.drawing.book_sewing import sewing_chapter
from shellparts.drawing.piece_marks import SHORT_OF_MM, snips
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.part import Role
from shellparts.report.buy_list import Extras, buy_lines
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_steps import Action
from shellparts.sewing.parts import strips_of, vents_of


@pytest.fixture(scope="module")
def books(rooms):
    return {name: book_of(rooms[name], with_stock=False) for name in ("lantern_room", "orchard_pavilion")}


@pytest.fixture(scope="module")
def in_use(rooms):
    """A book with its chapters on the day."""
    return book_of(rooms["lantern_room"], with_air=True, with_stock=False)


@pytest.fixture(scope="module")
def said(in_use):
    return list(everything(in_use))


def cards(book):
    """What is said on the card of each first step, all its words as one text."""
    found, step = {}, 0
    for block in flat(sewing_chapter(book)):
        if isinstance(block, Section):
            step = int(re.match(r"Steps? (\d+)", block.title)[1])
        if isinstance(block, Words):
            found[step] = f"{found.get(step, '')} {block.text}"
    return found


def is_joint(book, sheet, edges):
    """Whether of two edges that meet one is sewn to another piece and one is turned in."""
    own = [edge for edge in book.where[sheet].all_edges if edge.id in edges]
    return len(own) == 2 and bool(own[0].seams) is not bool(own[1].seams)


def test_the_step_of_an_edge_says_where_to_snip(books):
    seen = 0
    for book in books.values():
        told = cards(book)
        seams = {seam.id: seam for seam in book.pattern.seams}
        for step in book.order.steps:
            places = {
                place
                for one in step.task.seams
                for place in zip(seams[one].sheets, seams[one].edges, strict=True)
            }
            turned = set(step.task.edges) if step.task.action is Action.HEM else set()
            bent = {
                sheet
                for sheet in {sheet for sheet, _ in places | turned}
                for one in snips(book.where[sheet])
                for ends in [{(sheet, edge) for edge in one.edges}]
                if ends <= places or (ends & turned and is_joint(book, sheet, one.edges))
            }
            if step.number in told:
                said = re.findall(r"First snip the allowance of (.*?), all layers", told[step.number])
                assert set(" and ".join(said).split(" and ")) - {""} == bent, step.number
                seen += len(bent)
    assert seen >= 10


def test_a_hem_that_goes_on_into_a_seam_is_parted_from_it(books):
    """Cloth that is turned in beside cloth that is not must be cut between them, or it does not lie flat."""
    seen = 0
    for book in books.values():
        for piece in book.pattern.pieces:
            cut = {one.edges for one in snips(piece) if len(one.edges) == 2}
            for before, edge in pairwise((*piece.edges, piece.edges[0])):
                turn = math.remainder(edge.at(0.0)[1] - before.at(before.length_mm)[1], 2.0 * math.pi)
                joint = is_joint(book, piece.sheets[0], (before.id, edge.id)) and abs(turn) < math.radians(
                    44.0
                )
                assert not joint or (before.id, edge.id) in cut, piece.name
                seen += joint
    assert seen >= 10


def test_a_curtain_is_led_around_its_corners(books):
    """Its allowance is bent back along the tube: pleats in a curve, a snip in a corner."""
    arched, gabled = (cards(book) for book in books.values())
    hung = [text for text in arched.values() if "hangs across the tube" in text]
    assert len(hung) == 2 and all("small pleats" in text for text in hung)
    hung = [text for text in gabled.values() if "hangs across the tube" in text]
    assert hung and all("into the corner" in text and "small pleats" not in text for text in hung)


def test_a_snip_stops_short_of_the_sewing_line(books):
    for book in books.values():
        for piece in book.pattern.pieces:
            ends = [one.line[0] for one in snips(piece)]
            ring = np.concatenate([edge.polyline(0.1) for edge in piece.all_edges])
            for at in ends:
                assert np.hypot(*(ring - at).T).min() >= SHORT_OF_MM - 0.5


def test_strips_reach_around_their_outer_edge(books):
    """A ring of radius r wants 2 pi (r + w) of strip, w of it on the cloth: more than its sewing line is long."""
    (ring,) = (
        one
        for one in strips_of(SewingGraph.of(books["lantern_room"].pattern))
        if len(one.edges) == 1 and not one.seam
    )
    assert ring.length_mm == pytest.approx(1360.0 + 2 * math.pi * 30.0 + 100.0, abs=3.0)
    said = " ".join(cards(books["lantern_room"]).values())
    assert (
        f"{ring.name}: 50 mm wide, {ring.length_mm:.0f} mm long" in said and "eased in small pleats" in said
    )
    assert "over to a mitre" in " ".join(cards(books["orchard_pavilion"]).values())


def test_no_row_of_a_lapped_flap_runs_across_a_loop(books):
    """The loop hangs free for longer than the lap is wide above the foot; it is folded up before the flap is sewn on."""
    book = books["orchard_pavilion"]
    laps = {
        (sheet, edge)
        for seam in book.pattern.seams
        if seam.kind is SeamKind.LAPPED
        and any(book.where[name].kind.role is Role.FLAP for name in seam.sheets)
        for sheet, edge in zip(seam.sheets, seam.edges, strict=True)
    }
    seen = 0
    for piece in book.pattern.pieces:
        for patch in piece.patches:
            if patch.loop is None:
                continue
            lap = max(edge.allowance_mm for edge in piece.edges if (piece.sheets[0], edge.id) in laps)
            assert np.ptp(patch.loop[:, 1]) > lap
            seen += 1
    assert seen
    assert "fold the loops of the tabs up" in " ".join(cards(book).values())
    assert "fold the loops" not in " ".join(
        cards(books["lantern_room"]).values()
    )  # its flap is one with the panel


def everything(book):
    for block in flat(book_blocks(book)):
        if isinstance(block, Words):
            yield block.text
        elif isinstance(block, Boxes | Numbered):
            yield from block.items
        elif isinstance(block, Grid):
            yield from (cell for row in block.rows for cell in row)


def test_one_number_of_people(in_use, said):
    """The room's page and the day's say for how many all is reckoned; the checks point there."""
    told = [re.search(r"(?:reckoned with|At most) (\d+) people inside", one) for one in said]
    assert [int(one[1]) for one in told if one] == [in_use.air.plan.after.people.inside] * 2
    assert any("No more people are inside than" in one for one in said)


def test_wind_is_looked_for_outdoors_alone(in_use, said):
    assert not [one for one in said if "Gusts" in one]
    after = in_use.air.plan.after
    site = evolve(after.drawn.site, indoors=False)
    outdoors = evolve(after, drawn=evolve(after.drawn, site=site))
    book = evolve(in_use, air=evolve(in_use.air, plan=evolve(in_use.air.plan, after=outdoors)))
    (told,) = (one for one in everything(book) if "Gusts" in one)
    wind = after.hold_down.wind
    assert (f"below {wind.gust_m_s:.1f} m/s" if wind else "no wind at all") in told


def test_the_vent_is_named_by_both_its_edges(in_use, said):
    pairs = list(vents_of(SewingGraph.of(in_use.pattern)))
    assert len(pairs) == 2
    (told,) = (one for one in said if one.startswith("The vent is the slit"))
    assert all(f"{' '.join(a)} and {' '.join(b)}" in told for a, b in pairs)


def test_bags_are_laid_by_somebody_who_stands_up(in_use, said):
    """Where there is ballast one step of the day lays it, before nobody is inside and all clips are on."""
    laid = [k for k, one in enumerate(said) if one.startswith("Bags: ")]
    shut = [k for k, one in enumerate(said) if one.startswith("Nobody inside, ")]
    assert in_use.air.plan.after.drawn.site.ballast_kg and len(laid) == len(shut) == 1 and laid < shut


def test_a_drawcord_is_as_long_in_its_step_as_in_the_list(books, rooms):
    for name, book in books.items():
        room = rooms[name]
        lines = buy_lines(room.pattern, room.order, room.workshop, Extras(), room.design.marking)
        (basis,) = (one.basis for one in lines if one.item == "cord")
        grids = (block for block in flat(sewing_chapter(book)) if isinstance(block, Grid))
        (cell,) = (row[3] for grid in grids for row in grid.rows if row[0] == "drawcord")
        assert f"1 drawcord of {cell.split(', ends')[0]}," in basis, name
