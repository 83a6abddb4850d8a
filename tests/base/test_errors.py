"""How messages are put together: one mark at the end of a sentence, whatever is put in."""

import re
from pathlib import Path

import pytest

import shellparts
from shellparts.base.errors import ParameterError, UnrollError, ended

SOURCES = sorted(Path(shellparts.__file__).parent.rglob("*.py"))


@pytest.mark.parametrize(
    "remedy", ["lower the wall", "lower the wall.", "a dome?", "a dome!", "write Shell(…", "and so …"]
)
def test_a_sentence_ends_with_one_mark(remedy):
    for error in (
        ParameterError("wall", "3 m", "at most 2 m", remedy),
        UnrollError("It is a sphere", remedy),
    ):
        assert re.search(r"[^.?!…][.?!…]$", str(error)), str(error)
        assert error.remedy == remedy


def test_ended_changes_nothing_that_has_ended():
    for one in ("so.", "so?", "so!", "so…"):
        assert ended(one) == one
    assert ended("so") == "so."


def test_every_remedy_that_is_put_into_a_message_is_ended_there():
    """A remedy may be a question, such as which word was meant."""
    found = {}
    for path in SOURCES:
        for remedy, after in re.findall(r"[Rr]emedy: \{([^}]*)\}(.?)", path.read_text(encoding="utf-8")):
            found[path.name, remedy] = remedy.startswith("ended(") and after != "."
    assert len(found) >= 3
    assert [place for place, right in found.items() if not right] == []


def test_a_refusal_to_unroll_says_why_and_what_to_do():
    error = UnrollError("The face has no surface", "draw it again")
    assert (error.reason, error.remedy) == ("The face has no surface", "draw it again")
    assert str(error) == "The face has no surface. Remedy: draw it again."
