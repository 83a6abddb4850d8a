"""The reference: complete, read back from its own page; nothing in it is of just any type."""

import inspect
import re
from enum import Enum
from itertools import pairwise

import attrs
import pytest

import shellparts
from shellparts.reference import main, reference

#: Take whatever they are given, or are raised themselves.
RAISE_NOTHING = {"exact", "register", "Room", "FaceReport", "Outline"}


@pytest.fixture(scope="module")
def sections() -> dict[str, str]:
    """What stands under each name."""
    text = reference()
    heads = [*re.finditer(r"^### (\w+)$", text, re.M), re.search(r"\Z", text)]
    return {one[1]: text[one.end() : following.start()] for one, following in pairwise(heads)}


def test_every_public_name_is_there_once(sections):
    assert sorted(sections) == sorted(shellparts.__all__)
    assert len(re.findall(r"^### ", reference(), re.M)) == len(shellparts.__all__)


def rows(section: str) -> dict[str, list[str]]:
    """Cells of its tables, by parameter."""
    lines = re.findall(r"^\| `(\w+)` \| (.*) \|$", section, re.M)
    return {name: [cell.strip() for cell in re.split(r"(?<!\\)\|", rest)] for name, rest in lines}


def test_everything_taken_has_a_type_and_is_told(sections):
    faults = []
    for name in shellparts.__all__:
        thing = getattr(shellparts, name)
        if inspect.isfunction(thing):
            takes = set(inspect.signature(thing).parameters)
        elif attrs.has(thing):
            takes = {one.alias for one in attrs.fields(thing) if one.init}
        else:
            continue
        found = rows(sections[name])
        faults += [f"{name} lacks {one}" for one in sorted(takes - found.keys())]
        for one in takes & found.keys():
            kind, _, told = found[one]
            faults += [] if kind and re.search(r"[a-z]{3}", told) else [f"{name}.{one}: {kind!r}, {told!r}"]
    assert faults == []


def test_everything_that_may_be_refused_says_so(sections):
    faults = []
    for name, section in sections.items():
        thing = getattr(shellparts, name)
        if (inspect.isfunction(thing) or attrs.has(thing)) and name not in RAISE_NOTHING:
            faults += [] if re.search(r"^Raises `\w+`: \w", section, re.M) else [name]
    assert faults == []


def test_every_function_says_what_it_gives(sections):
    for name, section in sections.items():
        thing = getattr(shellparts, name)
        if inspect.isfunction(thing) and thing.__annotations__["return"] is not None:
            assert re.search(r"^Gives `[^`]+`", section, re.M), name


def test_every_word_that_may_be_written_is_there(sections):
    for name, section in sections.items():
        thing = getattr(shellparts, name)
        if inspect.isclass(thing) and issubclass(thing, Enum):
            assert all(f"`{member.value!r}`" in section for member in thing), name


def test_nothing_is_of_just_any_type(sections):
    typed = [cell for section in sections.values() for cell in re.findall(r"`([^`\n]+)`", section)]
    assert [one for one in typed if re.search(r"\bAny\b|object at 0x|Annotated|Union", one)] == []


def test_every_link_of_the_page_leads_somewhere():
    text = reference()
    targets = set(re.findall(r'<a id="([^"]+)">', text))
    links = set(re.findall(r"\]\(#([^)]+)\)", text))
    assert links == targets
    assert len(targets) == len(shellparts.__all__)


def test_one_command_writes_it(tmp_path, capsys):
    main([str(tmp_path / "page")], standalone_mode=False)
    assert (tmp_path / "page/reference.md").read_text(encoding="utf-8") == reference()


def test_what_is_handed_out_is_told_too():
    """Whatever the examples of the README read of a room has a line of its own."""
    page = reference()
    for owner, part in (
        ("Verdict", "people"),
        ("PeopleResult", "capacity"),
        ("Capacity", "by_floor"),
        ("RoomFigures", "floor_area_m2"),
    ):
        section = page[page.index(f"#### {owner}\n") :]
        assert f"| `{part}` |" in section[: section.index("\n#### ")], (owner, part)
    for owner, part in (("Verdict", "failing"), ("SewingOrder", "hours"), ("RoomMaterials", "told")):
        assert f"#### {owner}.{part}\n" in page, (owner, part)
