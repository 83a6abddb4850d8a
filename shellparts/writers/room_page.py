"""A room to turn round in a browser: one file that asks no network for anything.

The page holds the points of each state as whole steps of a millimetre or a few, its script, and a policy that lets
nothing else run. The script is WebGL 2 of our own; `room_page.js`, `.css` and `.html` are beside this module.
"""

import base64
import hashlib
import json
import math
import re
from collections.abc import Sequence
from functools import cache
from html import escape
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shellparts.base.checks import require
from shellparts.drawing.room_view import RoomView
from shellparts.parameters import Marking, Tape

__all__ = ["MOST_POINTS", "plain_name", "room_page", "script_text", "told_length"]

Array = NDArray[np.float64]
#: Points are numbered in two bytes.
MOST_POINTS = 65_535
_MOST_STEPS = 32_000
_GRID_MM = {Tape.METRIC: 1000.0, Tape.IMPERIAL: 914.4}
_HINT = "Drag to turn the room; touch a piece to read its name."


@cache
def _asset(ending: str) -> str:
    return files("shellparts.writers").joinpath(f"room_page.{ending}").read_text(encoding="utf-8")


@cache
def script_text() -> str:
    """The page's script without remarks, and without spaces round signs but in texts and shaders."""
    lines = (line.strip() for line in _asset("js").splitlines())
    return "\n".join(_tight(line) for line in lines if line and not line.startswith("//"))


def _tight(line: str) -> str:
    if re.search("`|gl_|vec", line):
        return line
    parts = re.split(r"('[^']*')", line)
    parts[::2] = [re.sub(r"\s*([=+\-*/<>?:;,{}()\[\]&|!%])\s*", r"\1", part) for part in parts[::2]]
    return "".join(parts)


def _hash(text: str) -> str:
    """What a policy calls a text that may stand in its page."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _normals(points: Array, triangles: NDArray[np.int64]) -> NDArray[np.int8]:
    """Directions square to the cloth at each point, the mean of its triangles by their areas, 127 long."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    total = np.zeros_like(points)
    for k in range(3):
        np.add.at(total, triangles[:, k], np.cross(b - a, c - a))
    long = np.linalg.norm(total, axis=1, keepdims=True)
    return np.rint(127.0 * total / np.maximum(long, 1e-12)).astype(np.int8)


def _packed(view: RoomView, unit_mm: float) -> bytes:
    """Points of the three states, directions, triangles, pieces, lines: each begins at a multiple of four bytes."""
    forms = _forms(view)
    parts: list[NDArray[Any]] = [np.rint(form / unit_mm).astype("<i2") for form in forms]
    parts += [_normals(form, view.triangles) for form in forms]
    parts += [one.astype("<u2") for one in (view.triangles, view.piece_of, view.lines)]
    parts.append(view.is_fold.astype(np.uint8))
    return b"".join(one.tobytes() + bytes(-one.nbytes % 4) for one in parts)


def _forms(view: RoomView) -> list[Array]:
    flat = np.column_stack([view.flat, np.zeros(len(view.flat))])
    return [view.sewn, view.sewn if view.air is None else view.air, flat]


def _middle_and_reach(form: Array, unit_mm: float) -> dict[str, Any]:
    middle = (form.min(axis=0) + form.max(axis=0)) / 2
    reach = float(np.linalg.norm(form - middle, axis=1).max())
    return {"middle": np.round(middle / unit_mm, 1).tolist(), "reach": round(reach / unit_mm, 1)}


def room_page(view: RoomView, title: str, facts: Sequence[tuple[str, str]], marking: Marking) -> bytes:
    """Write a page on which a room can be turned round, taken apart and measured.

    Parameters
    ----------
    view : RoomView
        Without a form under air the page shows the room as sewn and laid flat, and says so.
    title : str
        Its heading.
    facts : sequence of (str, str)
        Sizes to read, each with its name.
    marking : Marking
        The reader's tape.

    Returns
    -------
    bytes
        HTML in UTF-8; the same view gives the same bytes.

    Raises
    ------
    ParameterError
        If the room has more points than a page holds.
    """
    require(
        len(view.sewn) <= MOST_POINTS,
        "points of the page to turn the room on",
        str(len(view.sewn)),
        f"at most {MOST_POINTS}",
        "take larger triangles",
    )
    unit_mm = float(max(1, math.ceil(max(float(np.abs(form).max()) for form in _forms(view)) / _MOST_STEPS)))
    grid_mm = _GRID_MM[marking.tape]

    def show(length_mm: float) -> str:
        return told_length(length_mm, marking)

    room = {
        "points": len(view.sewn),
        "triangles": len(view.triangles),
        "lines": len(view.lines),
        "unit_mm": unit_mm,
        "air": view.air is not None,
        "inches": marking.tape is Tape.IMPERIAL,
        "grid": grid_mm / unit_mm,
        "hint": _HINT,
        "views": [_middle_and_reach(form, unit_mm) for form in _forms(view)],
        "pieces": [
            {
                "name": plain_name(one.name),
                "colour": list(one.colour),
                "told": f"{plain_name(one.name)}: {show(one.width_mm)} by "
                f"{show(one.length_mm)} without its allowances",
            }
            for one in view.pieces
        ],
    }
    script, style = script_text(), _asset("css")
    filled = {
        "policy": f"default-src 'none'; img-src data:; style-src {_hash(style)}; script-src {_hash(script)}",
        "title": escape(title),
        "style": style,
        "facts": "".join(f"<tr><td>{escape(name)}<td>{escape(told)}" for name, told in facts),
        "grid": escape(show(grid_mm)),
        "room": json.dumps(room, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
        "mesh": base64.b64encode(_packed(view, unit_mm)).decode(),
        "script": script,
    }
    page = re.sub(r"@(\w+)@", lambda found: filled[found[1]], _asset("html"))
    return page.encode()


def told_length(length_mm: float, marking: Marking) -> str:
    """A length with its unit, as the reader's tape shows it."""
    return marking.length(length_mm, 8)


def plain_name(name: str) -> str:
    """A piece's name in words: ``panel_03`` is panel 3."""
    return re.sub(r"\b0+(?=\d)", "", name.replace("_", " "))
