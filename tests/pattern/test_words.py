"""What is written beside an edge is true of every copy of the piece, and leads to the edge that it meets."""

from collections import defaultdict

import pytest


@pytest.fixture
def pattern(model_room):
    return model_room.pattern


def test_a_printed_number_is_on_two_pieces_that_are_cut_once(pattern):
    printed = defaultdict(list)
    for piece in pattern.pieces:
        for edge in piece.all_edges:
            if edge.seams and not edge.words:
                assert piece.count == 1
                for seam in edge.seams:
                    printed[seam].append((piece.name, edge.id))
    for seam in pattern.seams:
        both = {place for place in zip(seam.pieces, seam.edges, strict=True)}
        if seam.id in printed:
            assert set(printed[seam.id]) == both


def test_words_name_what_every_copy_meets(pattern):
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
