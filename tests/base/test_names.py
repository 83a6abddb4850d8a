"""Names that are not there: which there are, the nearest, and still a KeyError."""

import copy
import json
import pickle
from enum import Enum

import pytest

from shellparts.base.errors import ParameterError, UnknownNameError
from shellparts.base.names import Named, named, named_throughout


class Way(Enum):
    IN = "way in"
    OUT = "way out"


SHEETS = Named("sheet", {"panel_01": 1, "cap": 2})


@pytest.mark.parametrize("kind", [KeyError, LookupError, ParameterError, ValueError, UnknownNameError])
def test_a_name_that_is_not_there_is_refused_as_whatever_one_catches(kind):
    with pytest.raises(kind) as caught:
        SHEETS["pannel_01"]
    assert str(caught.value) == (
        "name of the sheet is 'pannel_01'; it must be one of panel_01, cap. Remedy: did you mean 'panel_01'?"
    )


@pytest.mark.parametrize("name", [3, None, ("cap",), 2.5])
def test_what_is_no_name_is_refused_with_all_that_are(name):
    for ask in (lambda: SHEETS[name], lambda: named("sheet", SHEETS, name)):
        with pytest.raises(KeyError) as caught:
            ask()
        assert caught.value.value == repr(name)
        assert caught.value.limit == "one of panel_01, cap"


def test_where_there_are_none_that_is_said():
    with pytest.raises(KeyError, match="it must be left out, for there is none"):
        Named("figure", {})["height"]


def test_words_are_taken_for_members_and_wrong_ones_are_told_as_words():
    grades = Named("must", {Way.IN: 1, Way.OUT: 2})
    assert grades["way out"] == grades[Way.OUT] == 2
    with pytest.raises(
        KeyError, match=r"is 'way ot'; it must be one of way in, way out\. .*mean 'way out'\?$"
    ):
        grades["way ot"]


def test_in_all_else_it_is_the_dictionary():
    plain = {"panel_01": 1, "cap": 2}
    assert plain == SHEETS
    assert SHEETS.get("tunnel") is None
    assert "tunnel" not in SHEETS
    assert json.dumps(SHEETS) == json.dumps(plain)
    for one in (copy.copy(SHEETS), copy.deepcopy(SHEETS), pickle.loads(pickle.dumps(SHEETS))):
        assert one == plain
        with pytest.raises(KeyError, match="of the sheet"):
            one["tunnel"]


def test_data_of_any_depth_is_held_to_it_and_stays_plain():
    plain = {"air": {"speeds": [{"name": "low", "range_Pa": [1.0, 2.0]}]}, "none": None}
    told = named_throughout("number", plain)
    assert told == plain
    assert json.dumps(told) == json.dumps(plain)
    for ask in (lambda: told["aire"], lambda: told["air"]["speed"], lambda: told["air"]["speeds"][0]["nam"]):
        with pytest.raises(KeyError, match="did you mean"):
            ask()
