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
from types import FrameType
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from shellparts.base import stopping
from shellparts.base.errors import (
    GeometryError,
    OutputError,
    ParameterError,
    ShellpartsError,
    Terminated,
    ended,
)
from shellparts.base.kernel_error import kernel_error

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
    help="Look for the form under air on finer triangles, and show how the cloth pulls and folds; half a minute more.",
)
_THICKNESS = click.option(
    "--thickness",
    metavar="LENGTH",
    help="Also write every sheet as a solid of this thickness: '0.4 mm'.",
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
            _stop(
                f"a fault of ours: {ended(str(error))} Nothing was written. Please report it with your parameters.",
                1,
            )
        if isinstance(error, ShellpartsError):
            _stop(str(error), 2)
        if (told := kernel_error(error)) is not None:
            _stop(str(told), 2)
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
        stopping.end(number)

    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP"):
            one = getattr(signal, name, None)
            if one is not None and signal.getsignal(one) is signal.SIG_DFL:
                usual[one] = signal.signal(one, end)
    try:
        yield
    finally:
        stopping.forget()
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


@contextmanager
def _on_tape(room: "Room") -> Iterator[None]:
    """Tell what is refused in feet and inches where that is the tape at hand."""
    from shellparts.base.inches import error_in_inches
    from shellparts.parameters import Tape

    try:
        yield
    except ParameterError as error:
        if room.design.marking.tape is Tape.IMPERIAL:
            raise error_in_inches(error) from None
        raise


def _write(
    room: "Room", out: Path | None, layout: str | None, inflated: bool = False, thickness: str | None = None
) -> None:
    from shellparts.base.progress import bar
    from shellparts.build.files import AIR_STEPS, FINE_STEPS, STEPS
    from shellparts.build.run_told import run_told
    from shellparts.parameters.workshop import EffortLevel

    if layout is not None:
        room = room.with_layout(EffortLevel(layout))
    if inflated:
        room = room.with_air()
    if thickness is not None:
        room = room.with_thickness(thickness)
    under_air = room.under_air and room.inflated is not None and room.inflated.stands
    with bar(STEPS + AIR_STEPS * under_air + FINE_STEPS * inflated) as progress:
        target = room.write(out, progress)
    _say(run_told(room, target))


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
@_THICKNESS
def make(
    model: Path,
    overrides: tuple[str, ...],
    out: Path | None,
    layout: str | None,
    inflated: bool,
    thickness: str | None,
) -> None:
    """Write everything of a MODEL script, with parameters as you like.

    \b
    shellparts make models/lantern_room.py
    shellparts make models/lantern_room.py panels=14 across="5 m" --out try_out
    """
    room = _room(model, overrides)
    with _on_tape(room):
        _write(room, out, layout, inflated, thickness)


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
    with _on_tape(room):
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
@click.argument("name")
@click.option("--like", default="lantern_room", metavar="MODEL", help="lantern_room unless given.")
def new(name: str, like: str) -> None:
    """Begin a model script of your own: NAME.py, in this folder.

    It is a copy of a MODEL that is shipped, or of any script of yours, under the new name. An existing file is
    never overwritten.

    \b
    shellparts new reading_cave
    shellparts new harvest_hall --like orchard_pavilion
    """
    from shellparts.build.new_script import new_script

    path = new_script(name, like)
    _say(f"written: {path}, like {like}. Change its numbers, then run it: python {path}")


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
    """Run the command line of a model script on its room: ``[--out DIR] [--layout WORD]`` writes everything.

    Parameters
    ----------
    room : Room
        What the script makes.

    Raises
    ------
    SystemExit
        At the end, with the exit status; what went wrong is printed, also where it is no room.
    """
    from shellparts.base.fields import kinds
    from shellparts.build.room import Room

    _guarded(partial(kinds("room", Room, "make it with build(…)"), None, None, room))

    @click.command(cls=_Guarded, help=f"Write everything for {room.design.name}: {room.design.title}")
    @_OUT
    @_LAYOUT
    @_AIR
    @_THICKNESS
    def command(out: Path | None, layout: str | None, inflated: bool, thickness: str | None) -> None:
        with _on_tape(room):
            _write(room, out, layout, inflated, thickness)

    command()


@contextmanager
def plain_errors(name: str) -> Iterator[None]:
    """Let a model script end with one message where something in it is refused, not with a traceback.

    ``with plain_errors(__name__):`` stands around the design and what is built of it. The message is that of
    ``shellparts make``. Only a script that is run on its own ends so: whoever else runs or imports it, or types
    the same into a shell, gets the error itself.

    Parameters
    ----------
    name : str
        The script's own ``__name__``.

    Raises
    ------
    SystemExit
        Where the script is run on its own and something in it is refused; there the message is printed.
    """
    script = getattr(sys.modules["__main__"], "__file__", None) if name == "__main__" else None
    try:
        yield
    except (Exception, KeyboardInterrupt, Terminated) as error:
        if script is None:
            raise
        from shellparts.build.script import script_error

        said = script_error(error, Path(script)) if isinstance(error, Exception) else error
        _guarded(partial(_raise, said))


def _raise(error: BaseException) -> NoReturn:
    raise error
