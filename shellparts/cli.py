"""The command line. It reads words, calls `build`, and says what happened; nothing else.

Exit status: 0 done; 2 the input is wrong; 1 a fault of ours; 130 after Ctrl-C, 143 when the system ends it. Messages
and progress go to standard error.
"""

import json
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from types import FrameType, TracebackType
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from shellparts.base.errors import GeometryError, OutputError, ShellpartsError, Terminated

if TYPE_CHECKING:
    from shellparts.build.numbers import Numbers
    from shellparts.build.room import Room

__all__ = ["main", "main_for", "plain_errors"]

T = TypeVar("T")

_MODEL = click.argument("model", type=click.Path(path_type=Path))
_OVERRIDES = click.argument("overrides", metavar="[NAME=VALUE]...", nargs=-1)
_OUT = click.option(
    "--out", type=click.Path(path_type=Path), help="Folder to write; exports/NAME unless given."
)
_LAYOUT = click.option(
    "--layout",
    type=click.Choice(["quick", "better", "best"]),
    help="How long to look for a layout on the cloth; as the script says, else quick. "
    "Ctrl-C ends the search with the best so far.",
)
_AIR = click.option(
    "--inflated",
    is_flag=True,
    help="Also sew the whole room together in the computer, let the air in, and write that form; half a minute more.",
)


def _stop(message: str, status: int) -> NoReturn:
    click.echo(f"shellparts: {message}", err=True)
    sys.exit(status)


def _guarded(work: Callable[[], T]) -> T:
    """Do the work; turn errors, and what stops it, into one message and an exit status."""
    try:
        with _ended_cleanly():
            return work()
    except (KeyboardInterrupt, Terminated) as stop:
        _end(stop)
    except (ImportError, ShellpartsError) as error:
        _end_behind(error)
        if isinstance(error, GeometryError):
            _stop(f"a fault of ours: {error}. Nothing was written. Please report it with your parameters.", 1)
        if isinstance(error, ShellpartsError):
            _stop(str(error), 2)
        raise


class _Guarded(click.Command):
    """A command whose errors are told in one message each."""

    def invoke(self, ctx: click.Context) -> object:
        """Run it."""
        return _guarded(partial(super().invoke, ctx))


def _end(stop: KeyboardInterrupt | Terminated) -> NoReturn:
    """Say who stopped the program."""
    if isinstance(stop, Terminated):
        _stop("ended by the system; nothing is half written.", 128 + stop.signal)
    _stop("stopped; nothing is half written.", 128 + signal.SIGINT)


def _end_behind(error: BaseException) -> None:
    """End if the error is only what a module of the kernel makes of being stopped while it is imported."""
    cause, seen = error.__cause__, {id(error)}
    while cause is not None and id(cause) not in seen:  # an error may be raised from itself
        if isinstance(cause, KeyboardInterrupt | Terminated):
            _end(cause)
        seen.add(id(cause))
        cause = cause.__cause__


@contextmanager
def _ended_cleanly() -> Iterator[None]:
    """Where the system asks the program to end, or its window is closed: end as after Ctrl-C, nothing left over."""
    usual: dict[int, Any] = {}

    def end(number: int, _frame: FrameType | None) -> NoReturn:
        for one in usual:
            signal.signal(one, signal.SIG_IGN)  # asked once is enough
        raise Terminated(number)

    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP"):
            one = getattr(signal, name, None)
            if one is not None and signal.getsignal(one) is signal.SIG_DFL:
                usual[one] = signal.signal(one, end)
    try:
        yield
    finally:
        for one, handler in usual.items():
            signal.signal(one, handler)


def _say(text: str, nl: bool = True) -> None:
    """Print a result."""
    try:
        click.echo(text, nl=nl)
    except BrokenPipeError:
        raise  # whoever reads has seen enough
    except OSError as error:
        raise OutputError(f"the result cannot be printed: {error.strerror}.") from error


def _room(model: Path, overrides: tuple[str, ...]) -> "Room":
    from shellparts.build.script import parse_overrides, run_script

    return run_script(model, parse_overrides(list(overrides)))


def _write(room: "Room", out: Path | None, layout: str | None, inflated: bool = False) -> None:
    from shellparts.base.progress import bar
    from shellparts.build.files import AIR_STEPS, STEPS

    if layout is not None:
        room = room.with_layout(layout)
    if inflated:
        room = room.with_air()
    with bar(STEPS + (AIR_STEPS if inflated else 0)) as progress:
        target = room.write(out, progress)
    _say(_told(room, target))


def _told(room: "Room", target: Path) -> str:
    """What was made and where, for people."""
    figures, pattern = room.body.figures, room.pattern
    cut = sum(piece.count for piece in pattern.pieces)
    lines = [
        f"{room.design.name}: {figures.base_diameter_mm / 1000:.2f} m across, "
        f"{figures.height_mm / 1000:.2f} m high, "
        f"{figures.floor_area_m2:.1f} m2 of floor, {figures.envelope_volume_m3:.1f} m3 of air",
        f"{cut} pieces of cloth from {len(pattern.pieces)} templates, {len(pattern.seams)} seams",
        f"written to {target}{'' if str(target).endswith('/') else '/'}",
        "  solids/    STEP of every sheet and of the air, STL and 3MF of the scale model",
        "  flat/      DXF of all pieces, one SVG a piece, true size; full-size and paper-model PDF",
        "  tables/    pieces, seams, sewing order, materials, stations to mark out templates with a tape",
        "  layout/    where each piece lies on the cloth, to chalk out with a tape",
        "  boards/    templates to saw out of board, if the workshop uses board",
        "  pictures/  the room as sewn, the working band of its fan"
        + ("; the room under air" if room.blown_up else ""),
        "  summary.json  every number",
    ]
    lines[2:2] = [room.materials.told]
    lines += [f"note: {w.message}. Remedy: {w.remedy}." for w in room.warnings]
    return "\n".join(lines)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="shellparts")
def main() -> None:
    """Walk-in rooms of cloth held up by a fan: from a model script to flat patterns, solids and numbers.

    Lengths are millimetres, or text with a unit: "4.4 m", "14 ft 6 1/2 in".
    """


@main.command(cls=_Guarded)
@_MODEL
@_OVERRIDES
@_OUT
@_LAYOUT
@_AIR
def make(
    model: Path, overrides: tuple[str, ...], out: Path | None, layout: str | None, inflated: bool
) -> None:
    """Write everything of a MODEL script, with parameters as you like.

    \b
    shellparts make models/lantern_room.py
    shellparts make models/lantern_room.py panels=14 across="5 m" --out try_out
    """
    _write(_room(model, overrides), out, layout, inflated)


@main.command(cls=_Guarded)
@_MODEL
@click.argument("words", metavar="[READINGS.csv] [NAME=VALUE]...", nargs=-1)
@click.option("--more", is_flag=True, help="Everything that is known, not one screen.")
@click.option("--quick", is_flag=True, help="A first look by formulas alone, in a second or two.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
def check(model: Path, words: tuple[str, ...], more: bool, quick: bool, as_json: bool) -> None:
    """Say whether a MODEL may be used, and how. Writes nothing.

    READINGS.csv holds what was read of the real room, under the header what,value,speed,opening: it narrows
    everything that is said.

    \b
    shellparts check models/lantern_room.py
    shellparts check models/lantern_room.py readings.csv children=12 ballast=22
    """
    from shellparts.parameters.readings import readings_from_csv

    tables = [word for word in words if "=" not in word]
    room = _room(model, tuple(word for word in words if "=" in word))
    room = room.with_readings([one for table in tables for one in readings_from_csv(Path(table))])
    known = room.first_look if quick else _let_down(room)
    if as_json:
        from shellparts.report.pattern_record import summary_text

        _say(summary_text(known.record()), nl=False)
    else:
        _say(known.advice(more))


def _let_down(room: "Room") -> "Numbers":
    """What is known of a room, its form under air looked for with a bar that shows how far that is."""
    from shellparts.base.progress import bar

    with bar(3) as progress:
        return room.known_with(progress)


@main.command(cls=_Guarded)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder for a DXF of the flat outlines.")
@click.option(
    "--tolerance",
    metavar="LENGTH",
    help="How far the file's edges may stand off their surfaces; half a millimetre unless given.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
def unroll(file: Path, out: Path | None, tolerance: str | None, as_json: bool) -> None:
    """Lay the faces of a solid flat: any STEP FILE, whoever drew it.

    Every developable face (plane, cylinder, cone, ruled without twist) gets an exact outline; of every other
    face the reason is said why it has none. Faces that cannot be read are named, too.
    """
    from shellparts.base.checks import at_least
    from shellparts.base.tolerances import TOLERANCES
    from shellparts.base.units import to_mm
    from shellparts.build.foreign import survey_file, survey_lines, survey_record, write_outlines

    gap = TOLERANCES.edge_gap_mm if tolerance is None else to_mm(tolerance, "tolerance")
    at_least("tolerance", gap, 0.0, "", "write a length such as '0.1 mm'")
    survey = survey_file(file, gap)
    if out is not None:
        write_outlines(survey, file.stem, out)
    if as_json:
        _say(json.dumps(survey_record(survey), allow_nan=False))
    else:
        _say("\n".join(survey_lines(survey)) + (f"; written to {out}" if out is not None else ""))


def main_for(room: "Room") -> None:
    """Run the command line of a model script on its room: ``[--out DIR] [--layout WORD]`` writes everything."""
    sys.excepthook = sys.__excepthook__  # what goes wrong from here on is not the script's

    @click.command(cls=_Guarded, help=f"Write everything for {room.design.name}: {room.design.title}")
    @_OUT
    @_LAYOUT
    @_AIR
    def command(out: Path | None, layout: str | None, inflated: bool) -> None:
        _write(room, out, layout, inflated)

    command()


def plain_errors() -> None:
    """Let a model script that is run on its own end with one message where something in it is wrong, not a traceback.

    Called first under ``if __name__ == "__main__":``. The message is that of ``shellparts make``. It ends where
    `main_for` begins: an error from there on is no mistake of the script.
    """

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        from shellparts.build.script import script_error

        path = Path(str(getattr(sys.modules["__main__"], "__file__", "model script")))
        if isinstance(error, Exception):
            error = script_error(error, path)
        _guarded(lambda: _raise(error))

    sys.excepthook = hook


def _raise(error: BaseException) -> NoReturn:
    raise error
