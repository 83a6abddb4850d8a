"""Kinds of seams: allowances of both sides, which side is wide, ticks, words."""

from collections import defaultdict
from itertools import combinations

import attrs
import numpy as np
import pytest
from attrs import evolve

from shellparts.base.errors import ParameterError
from shellparts.body.seams import EdgeRole
from shellparts.build.room import build
from shellparts.openings.doorway import CURTAIN, TUNNEL
from shellparts.openings.sleeve import SLEEVE
from shellparts.parameters import Allowances
from shellparts.parameters.allowances import SeamKind
from shellparts.parameters.part import CAP, FLAP, PANEL
from shellparts.pattern.seam_kinds import class_of, is_wide
from shellparts.pattern.ticks import families_of

SEAMS = [f.name for f in attrs.fields(Allowances) if f.name.endswith("_seam")]
FELLED = Allowances(seam=24.0, **{name: "flat_felled" for name in SEAMS})


@pytest.fixture(scope="module")
def felled(rooms):
    """The orchard room with every seam flat-felled: it has seams of all classes."""
    return build(evolve(rooms["orchard_pavilion"].design, allowances=FELLED)).pattern


def sides(pattern, seam):
    return [
        next(edge for edge in pattern.piece(piece).all_edges if edge.id == edge_id)
        for piece, edge_id in zip(seam.pieces, seam.edges, strict=True)
    ]


def test_every_seam_has_one_wide_side(felled):
    for seam in felled.seams:
        assert sorted(seam.allowances_mm) == [12.0, 24.0], seam
        assert seam.allowance_mm == 24.0
        assert [edge.allowance_mm for edge in sides(felled, seam)] == list(seam.allowances_mm), seam
        assert seam.kind is SeamKind.FLAT_FELLED


def test_between_panels_the_right_edge_is_the_wide_one(felled):
    panel = felled.piece("panel")
    for edge in panel.edges:
        if edge.length_mm > 4000:
            right = edge.at(edge.length_mm / 2)[0][0] > 0
            assert edge.allowance_mm == (24.0 if right else 12.0)


def test_tunnel_sleeve_cap_and_flap_are_wide_against_a_panel(felled):
    kinds = {piece.name: piece.kind for piece in felled.pieces}
    for seam in felled.seams:
        a, b = (kinds[name] for name in seam.pieces)
        if a != b and PANEL in (a, b):
            wide = (a, b)[seam.allowances_mm.index(24.0)]
            assert wide != PANEL


def test_defaults_leave_the_same_allowance_on_both_sides(model_room):
    for seam in model_room.pattern.seams:
        assert seam.allowances_mm == (20.0, 20.0)
    for piece in model_room.pattern.pieces:
        for edge in piece.all_edges:
            assert edge.allowance_mm == (20.0 if edge.role is EdgeRole.SEAM else 40.0)


def test_an_unknown_kind_is_refused():
    with pytest.raises(ParameterError, match="kind of the cap's seam is 'glued'; it must be one of plain"):
        Allowances(cap_seam="glued")


def test_classes_do_not_depend_on_which_sheet_comes_first():
    for a, b in combinations([PANEL, CAP, FLAP, TUNNEL, CURTAIN, SLEEVE], 2):
        if {a, b} != {TUNNEL, SLEEVE}:  # tubes never meet
            assert class_of(a, b) == class_of(b, a)
            assert is_wide(a, b, False) is not is_wide(b, a, True)


# Ticks


def test_both_edges_of_a_seam_have_the_same_ticks_from_either_end(model_room):
    for seam in model_room.pattern.seams:
        a, b = sides(model_room.pattern, seam)
        assert a.ticks == b.ticks == a.ticks[::-1]
        assert len(a.ticks) == len(a.notches_mm)
        far = np.array(b.ticks_mm)[::-1]
        assert np.array(a.ticks_mm) == pytest.approx(b.length_mm - far, abs=2e-2)


def test_ticks_stand_apart_and_inside_their_edge(model_room):
    for piece in model_room.pattern.pieces:
        for edge in piece.all_edges:
            places = np.array([0.0, *edge.ticks_mm, edge.length_mm])
            assert (np.diff(places) > 9.0).all() or not edge.ticks


def test_edges_that_could_be_mistaken_have_other_ticks(model_room):
    pattern = model_room.pattern
    edges = {(p.name, e.id): e for p in pattern.pieces for e in p.all_edges}
    families = families_of(pattern.pieces, pattern.seams)
    assert sorted(place for f in families for place in f.places) == sorted(
        k for k, e in edges.items() if e.seams
    )
    marked = [f for f in families if f.notches]
    assert len(marked) >= 5
    for one, other in combinations(marked, 2):
        if abs(one.length_mm - other.length_mm) <= 25.0 and one.notches == other.notches:
            assert edges[one.places[0]].ticks != edges[other.places[0]].ticks


def test_left_and_right_of_the_doorway_differ(rooms):
    """The two long edges of the curtain's leaves are equally long: only ticks tell them apart."""
    pattern = rooms["tide_dome"].pattern
    left, right = (
        next(e for e in pattern.piece(name).edges if e.role is EdgeRole.SEAM and round(e.length_mm) == 1200)
        for name in ("curtain_left", "curtain_right")
    )
    assert left.ticks != right.ticks


def test_a_sleeves_hole_begins_where_the_joint_comes(rooms):
    """Notches are counted from there on both: the same edges of the body in opposite order."""
    for room in rooms.values():
        seam = next(s for s in room.pattern.seams if s.sheets[1] == "sleeve" and "panel" in s.sheets[0])
        hole, tube = sides(room.pattern, seam)
        assert [flat.key for flat in hole.flat] == [flat.key for flat in tube.flat][::-1]


# Words beside edges: true of every copy of the piece, and of the edge that it meets


def test_a_printed_number_is_on_every_piece_of_its_seam_that_is_cut_once(model_room):
    pattern, printed = model_room.pattern, defaultdict(list)
    for piece in pattern.pieces:
        for edge in piece.all_edges:
            if edge.seams and not edge.words:
                assert piece.count == 1
                for seam in edge.seams:
                    printed[seam].append((piece.name, edge.id))
    for seam in pattern.seams:
        both = zip(seam.pieces, seam.edges, strict=True)
        once = {place for place in both if pattern.piece(place[0]).count == 1}
        assert set(printed.get(seam.id, [])) == once


def test_words_name_what_every_copy_meets(model_room):
    pattern = model_room.pattern
    kinds = {piece.name: piece.kind.word for piece in pattern.pieces}
    words = {(piece.name, edge.id): edge.words for piece in pattern.pieces for edge in piece.all_edges}
    told = 0
    for seam in pattern.seams:
        for side in (0, 1):
            said = words[seam.pieces[side], seam.edges[side]]
            if said:
                told += 1
                assert kinds[seam.pieces[1 - side]] in said
    assert told > 10
