"""A room in a notebook or a viewer: a picture with a line of what it is, or the solids in whatever viewer is there."""

import html
import importlib.util
import logging
import os
import socket
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from shellparts.base.counted import counted
from shellparts.base.errors import ShellpartsError
from shellparts.loads.results import Decision, Verdict
from shellparts.parameters import Design

if TYPE_CHECKING:
    import cadquery as cq

    from shellparts.body.body import Body

__all__ = ["in_a_line", "room_html", "show_room", "size_as_sewn", "verdict_line"]

#: Where the viewer of an editor listens unless its own variable says another port.
_PORT_NAME, _USUAL_PORT = "OCP_PORT", "3939"
_WAIT_S = 0.3
_NO_VIEWER = (
    "shellparts: no viewer is open here, and there is no screen to open one on. A notebook shows the room by its name; "
    "room.write() makes solids/*.step and *.glb for any other viewer."
)


def size_as_sewn(across_mm: float, height_mm: float) -> str:
    """How large a room is as sewn, over its seams at the floor and to the top of its cap.

    The peak of the profile, which a design asks for, is higher: the panels stop short of it.
    """
    return f"{across_mm / 1000:.2f} m across, {height_mm / 1000:.2f} m high as sewn"


def in_a_line(design: Design, body: "Body", verdict: str = "") -> list[str]:
    """What a room is, one sentence an item: its size, and the verdict where there is one."""
    figures, name = body.figures, design.title or design.name
    size = size_as_sewn(figures.base_diameter_mm, figures.height_mm)
    holds = f"{figures.floor_area_m2:.1f} m² of floor, {figures.envelope_volume_m3:.1f} m³ of air"
    told = f"{name}: {design.marking.told(f'{size}, {holds}')}, {counted(len(body.sheets), 'sheet')} of cloth"
    return [told, *filter(None, [verdict])]


def verdict_line(first: Verdict | None, decision: Decision | None = None) -> str:
    """The verdict in a sentence: as it was worked out, else that of a first look; empty where nothing is known."""
    if decision is not None:
        return f"Verdict: {decision.value}. room.advice() says why, and how."
    if first is None:
        return ""
    if first.holds:
        return "First look, by formula: a go. room.advice() looks closer and says how to use it."
    failing = ", ".join(must.value for must in first.failing)
    return f"First look, by formula: not as it is ({failing}). room.advice() looks closer and says what to change."


def room_html(
    design: Design, body: "Callable[[], Body]", verdict: Callable[[], str] = lambda: ""
) -> str | None:
    """The picture of a room as sewn, with what it is below; None, and a line in the log, if it cannot be made.

    A notebook then shows the line that `repr` gives, instead of a traceback that nobody asked for.
    """
    try:
        from shellparts.unroll.inspection import KERNEL_FAILURES
        from shellparts.writers.picture_inline import inline_picture
    except ImportError as error:
        _log_why(error)
        return None
    failures: tuple[type[Exception], ...] = (ShellpartsError, *KERNEL_FAILURES)
    try:
        said = "<br/>".join(html.escape(line) for line in in_a_line(design, body(), verdict()))
        picture = inline_picture(body(), design.name)
    except failures as error:
        _log_why(error)
        return None
    return f"<figure>{picture}<figcaption>{said}</figcaption></figure>"


def _log_why(error: Exception) -> None:
    logging.getLogger(__name__).warning("the room has no picture: %s", error)


def show_room(title: str, assembly: "Callable[[], cq.Assembly]") -> None:
    """Show the sheets of a room in the viewer that is there: that of an editor, else a window; else say how to look.

    The editor's viewer is asked by its port first, for without one its package prints a traceback a call.
    """
    port = os.environ.get(_PORT_NAME, _USUAL_PORT)
    if importlib.util.find_spec("ocp_vscode") is not None and _listens(port):
        from ocp_vscode import show

        show(assembly(), port=int(port))
    elif _has_screen():
        from shellparts.writers.viewer import window

        window(assembly(), title)
    else:
        sys.stderr.write(f"{_NO_VIEWER}\n")


def _listens(port: str) -> bool:
    """Whether a viewer of this machine answers at a port."""
    try:
        with socket.create_connection(("127.0.0.1", int(port)), timeout=_WAIT_S):
            return True
    except (OSError, ValueError, OverflowError):
        return False


def _has_screen() -> bool:
    """Whether a window can be opened."""
    return sys.platform in {"win32", "darwin"} or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )
