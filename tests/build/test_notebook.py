"""A room in a notebook and in viewers: one line, a picture of its own, or a hint, and never a traceback."""

import functools
import pydoc
import re
import socket
import sys
import types
import xml.etree.ElementTree as ET

import attrs
import pytest
from model_rooms import MODELS
from OCP.BRep import BRep_Tool
from OCP.TopLoc import TopLoc_Location

from shellparts import Design, Shell, build
from shellparts.base.errors import GeometryError, ParameterError
from shellparts.build import notebook
from shellparts.build.room import Room
from shellparts.build.script import run_script
from shellparts.loads.results import Decision

SVG = "{http://www.w3.org/2000/svg}"


def test_a_room_and_all_it_is_made_of_are_shown_in_one_short_line(model_room):
    assert repr(model_room).startswith(
        f"<Room {model_room.design.name}: {model_room.design.shell.panels} panels, "
    )
    given = [
        model_room.design,
        *model_room.design.openings,
        model_room.cloth,
        model_room.site,
        model_room.workshop,
    ]
    for one in (model_room, *given):
        assert "\n" not in repr(one)
        assert len(repr(one)) < (700 if isinstance(one, Design) else 300), repr(one)


def test_one_size_is_told_everywhere(model_room):
    """As sewn, and said to be: the top of the cap, not the peak that the design asks for."""
    figures = model_room.body.figures
    size = f"{figures.base_diameter_mm / 1000:.2f} m across, {figures.height_mm / 1000:.2f} m high as sewn"
    assert size in repr(model_room)
    told = notebook.in_a_line(model_room.design, model_room.body)[0]
    assert size in told or model_room.design.marking.told(size) in told


def test_help_names_the_types_of_what_a_room_gives():
    """Of every property, its own and those of its CadQuery side."""
    shown = pydoc.plain(pydoc.render_doc(Room))
    given = {
        name: value
        for kind in Room.__mro__
        for name, value in vars(kind).items()
        if isinstance(value, property | functools.cached_property)
    }
    assert {"body", "plan", "envelope", "sheets"} <= given.keys()
    for name, value in given.items():
        kind, _, rest = value.__doc__.partition(": ")
        assert re.fullmatch(r"[\w.\[\], |]+", kind) and rest, name
        assert f"{kind}: {rest.splitlines()[0]}" in shown, name
    assert Room.plan.__doc__.startswith("Plan | None: ")
    assert given["sheets"].__doc__.startswith("dict[str, cq.Face | cq.Shell]: ")


def test_a_notebook_shows_a_picture_of_the_whole_room_and_a_line(model_room):
    page = ET.fromstring(model_room._repr_html_())
    picture, caption = page
    assert (picture.tag, caption.tag) == (f"{SVG}svg", "figcaption")
    assert len(model_room._repr_html_()) < 40_000
    assert re.search(
        r"\d\.\d\d m\)? across, .*\d\.\d\d m\)? high as sewn, .* m²\)? of floor, .* m³\)? of air",
        caption.text,
    )
    (rule,) = caption
    assert rule.tail.startswith(("First look, by formula: ", "Verdict: "))
    paths = list(picture.iter(f"{SVG}path"))
    numbers = [[int(n) for n in re.findall(r"\d+", path.get("d"))] for path in paths]
    x, y = (sorted(n for one in numbers for n in one[i::2]) for i in (0, 1))
    _, _, width, height = map(int, picture.get("viewBox").split())
    assert 0 <= x[0] < x[-1] <= width
    assert 0 <= y[0] < y[-1] <= height
    fills = {path.get("fill") for path in paths} - {None}
    kinds = {
        sheet.kind.word
        for sheet in model_room.body.sheets
        if sheet.kind.word in {"panel", "tunnel", "curtain"}
    }
    assert len(fills) >= len(kinds)


def test_the_verdict_is_a_first_look_until_the_room_was_looked_at(rooms):
    """The first look names what fails by formula; what was worked out since is told in its place."""
    room = rooms["lantern_room"].with_readings([])  # a fresh one, of which nothing is known
    first = room._verdict_line()
    assert not room.as_it_is.holds
    assert f"not as it is ({', '.join(must.value for must in room.as_it_is.failing)})" in first
    assert "known" not in vars(room)
    plan = types.SimpleNamespace(decision=Decision.CHANGES)
    vars(room)["known"] = types.SimpleNamespace(air=types.SimpleNamespace(plan=plan))
    assert room._verdict_line().startswith("Verdict: go after these changes.")


def test_a_room_that_holds_is_said_to_and_of_one_without_a_fan_nothing_is_said():
    room = run_script(MODELS / "lantern_room.py", {"ballast": 60})
    assert room.as_it_is.holds
    assert "by formula: a go" in room._verdict_line()
    bare = build(Design(name="bare", shell=Shell(panels=6, across=3000, height=2400)))
    assert bare._verdict_line() == ""
    with pytest.raises(
        ParameterError, match=r"^verdict is asked for without a fan or a doorway; .*Remedy: give"
    ):
        bare.as_it_is  # noqa: B018


def test_the_picture_is_the_same_again_and_leaves_no_mesh_behind():
    """The kernel keeps a mesh on its shape, and the next would be no finer."""
    room = build(Design(name="bare", shell=Shell(panels=6, across=3000, height=2400)))
    assert room._repr_html_() == room._repr_html_()
    assert BRep_Tool.Triangulation_s(room.body.sheets[0].faces[0].face, TopLoc_Location()) is None
    room.sheet("panel_01").tessellate(10.0)
    assert BRep_Tool.Triangulation_s(room.body.sheets[0].faces[0].face, TopLoc_Location()) is not None


def test_a_picture_that_fails_is_none(monkeypatch, caplog):
    def broken(design):
        raise GeometryError("the envelope is 2 solids")

    monkeypatch.setattr("shellparts.body.assembly.assemble", broken)
    room = build(Design(name="bare", title="<b>", shell=Shell(panels=6, across=3000, height=2400)))
    assert room._repr_html_() is None
    assert "has no picture" in caplog.text
    with pytest.raises(GeometryError):
        room.envelope  # noqa: B018


def test_titles_are_escaped():
    room = build(Design(name="bare", title="<b> & 'so'", shell=Shell(panels=6, across=3000, height=2400)))
    assert "&lt;b&gt; &amp; " in room._repr_html_()
    ET.fromstring(room._repr_html_())


@pytest.fixture
def viewer(monkeypatch):
    """A stand-in for the viewer of an editor, which keeps what it is shown."""
    shown: list[tuple] = []
    module = types.ModuleType("ocp_vscode")
    module.__spec__ = types.SimpleNamespace()
    module.show = lambda *things, **options: shown.append((things, options))
    monkeypatch.setitem(sys.modules, "ocp_vscode", module)
    return shown


def test_the_viewer_of_an_editor_is_shown_the_room_in_one_call(rooms, viewer, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        monkeypatch.setenv("OCP_PORT", str(port))
        rooms["lantern_room"].show()
    (((whole,), options),) = viewer
    assert len(whole.children) == len(rooms["lantern_room"].body.sheets)
    assert options["port"] == port


@pytest.mark.parametrize("port", ["1", "no port", "99999999"])
def test_without_a_viewer_or_a_screen_there_is_one_line(rooms, viewer, monkeypatch, capsys, port):
    monkeypatch.setenv("OCP_PORT", port)
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    rooms["lantern_room"].show()
    assert viewer == []
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "no viewer" in err


def test_where_there_is_a_screen_a_window_is_opened(rooms, monkeypatch):
    opened = []
    monkeypatch.setattr(notebook, "_has_screen", lambda: True)
    monkeypatch.setattr(notebook, "_listens", lambda port: False)
    monkeypatch.setattr("cadquery.vis.show", lambda *things, **options: opened.append((things, options)))
    rooms["lantern_room"].show()
    (((whole,), options),) = opened
    assert whole.name == "lantern_room"
    assert options == {"title": rooms["lantern_room"].design.title}


def test_results_are_shown_in_short(rooms):
    """Whatever a reader may ask a room for and print by accident."""
    room = rooms["lantern_room"]
    too_long = {}
    for name, value in vars(Room).items():
        if name.startswith("_") or not isinstance(value, property | type(vars(Room)["body"])):
            continue
        result = getattr(room, name)
        if attrs.has(type(result)) and len(repr(result)) > 600:
            too_long[name] = len(repr(result))
    assert too_long == {}
