"""Model scripts: run one, with parameters overridden, and find the room that it makes.

A parameter is a plain constant at the top level of the script: ``panels = 12``, or ``panels: int = 12``. The former
is also what CadQuery's own script gateway can see and override.
"""

import ast
import difflib
import os
import sys
import tokenize
import traceback
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, redirect_stdout, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import frozen

from shellparts.base.errors import ModelScriptError, ParameterError, ShellpartsError, Terminated, ended
from shellparts.base.inches import error_in_inches
from shellparts.parameters import Tape

if TYPE_CHECKING:
    from shellparts.build.room import Room

__all__ = ["ScriptParameter", "parse_overrides", "run_script", "script_error", "script_parameters"]

Value = int | float | str | bool | None


@frozen
class ScriptParameter:
    """A parameter of a model script: its name, its value as written, and what the comment on its line says."""

    name: str
    value: Value
    told: str


def parse_overrides(words: list[str]) -> dict[str, Value]:
    """Read ``name=value`` words: numbers, True, False and None as such, everything else as text.

    >>> parse_overrides(["panels=14", "across=15 ft", "smooth=True"])
    {'panels': 14, 'across': '15 ft', 'smooth': True}
    """
    values: dict[str, Value] = {}
    for word in words:
        name, equals, text = word.partition("=")
        if not equals or not name.isidentifier():
            raise ModelScriptError(
                f"{word!r} is not of the form name=value, such as panels=14 or across='15 ft'."
            )
        try:
            value = ast.literal_eval(text)
        except (ValueError, SyntaxError, MemoryError, RecursionError):
            value = text
        if name in values:
            raise ModelScriptError(f"{name} is given twice: {values[name]!r} and {value!r}. Give it once.")
        values[name] = value if isinstance(value, int | float | str | bool | None) else text
    return values


def _parameters(tree: ast.Module) -> dict[str, ast.Assign | ast.AnnAssign]:
    """Assignments of plain constants at the top level, by name."""
    found: dict[str, ast.Assign | ast.AnnAssign] = {}
    for node in tree.body:
        if not isinstance(node, ast.Assign | ast.AnnAssign):
            continue
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        if len(targets) == 1 and isinstance(targets[0], ast.Name):
            value = node.value.operand if isinstance(node.value, ast.UnaryOp) else node.value
            if isinstance(value, ast.Constant):
                found[targets[0].id] = node
    return found


def script_parameters(path: Path) -> tuple[ScriptParameter, ...]:
    """The parameters of a model script, in its order, each with the comment on its line; nothing is run.

    Raises
    ------
    ModelScriptError
        If the script cannot be read.
    """
    tree = _parsed(path)
    with path.open("rb") as file:
        comments = {
            token.start[0]: token.string.lstrip("#: ")
            for token in tokenize.tokenize(file.readline)
            if token.type == tokenize.COMMENT
        }
    return tuple(
        ScriptParameter(name, ast.literal_eval(node.value), comments.get(node.end_lineno or 0, ""))
        for name, node in _parameters(tree).items()
        if node.value is not None
    )


def _parsed(path: Path) -> ast.Module:
    """The syntax tree of a script, in whatever encoding it says that it is."""
    try:
        return ast.parse(path.read_bytes(), filename=str(path))
    except OSError as error:
        raise ModelScriptError(f"{path} cannot be read: {ended(error.strerror or str(error))}") from None
    except SyntaxError as error:
        if path.suffix != ".py":
            raise ModelScriptError(
                f"{path} is not a model script. Give one of those in models/, or your own copy: a file ending in .py."
            ) from None
        raise script_error(error, path) from None
    except (ValueError, MemoryError, RecursionError) as error:
        raise ModelScriptError(f"{path} cannot be read as Python: {ended(str(error))}") from None


def run_script(path: Path, overrides: Mapping[str, Value]) -> "Room":
    """Run a model script as CadQuery's gateway would, and give its room.

    Parameters
    ----------
    path : Path
        The script.
    overrides : mapping
        New values of parameters by name.

    Returns
    -------
    Room
        Nothing of it is worked out yet, unless the script asked.

    Raises
    ------
    ModelScriptError
        If the script cannot be read or run, has no such parameter, or does not make exactly one room.
    ParameterError
        If the script's design is refused.
    """
    from shellparts.build.room import Room

    tree = _parsed(path)
    parameters = _parameters(tree)
    for name, value in overrides.items():
        if name not in parameters:
            known = ", ".join(parameters) or "none"
            raise ModelScriptError(
                f"{path.name} has no parameter {name!r}. Its parameters are: {known}.{_near(name, parameters)}"
            )
        place = parameters[name]
        place.value = ast.copy_location(ast.Constant(value), place.value or place)
    namespace: dict[str, Any] = {"__name__": "__model__", "__file__": str(path)}
    sys.path.insert(0, str(path.parent.absolute()))
    try:
        with _prints_aside():
            exec(compile(ast.fix_missing_locations(tree), str(path), "exec"), namespace)
    except (KeyboardInterrupt, Terminated):
        raise
    except BaseException as error:
        raise script_error(error, path, tree) from error
    finally:
        sys.path.pop(0)
    rooms = {id(value): value for value in namespace.values() if isinstance(value, Room)}
    if len(rooms) != 1:
        raise ModelScriptError(
            f"{path.name} makes {len(rooms)} rooms; a model script makes one: room = build(design)."
        )
    return next(iter(rooms.values()))


def _near(name: str, known: Iterable[str]) -> str:
    """Which parameter may have been meant: one that looks alike, or has the name for a part of its own."""
    names = list(known)
    alike = difflib.get_close_matches(name, names, n=1, cutoff=0.6)
    part = [one for one in names if name in one.split("_") or one in name.split("_")]
    meant = (alike or part)[:1]
    return f" Did you mean {meant[0]!r}?" if meant else ""


def _has_inch_tape(tree: ast.Module) -> bool:
    """Whether a script says that the tape at hand shows inches."""
    word = Tape.IMPERIAL.value
    return any(isinstance(node, ast.Constant) and node.value == word for node in ast.walk(tree))


def script_error(error: BaseException, path: Path, tree: ast.Module | None = None) -> ShellpartsError:
    """Say what went wrong in a script, in one message: an error of this library's own, or one that names the line.

    Where the script has an inch tape, lengths are told in feet and inches.
    """
    if isinstance(error, ParameterError):
        return error_in_inches(error) if _has_inch_tape(tree or _parsed(path)) else error
    if isinstance(error, ShellpartsError):
        return error
    if isinstance(error, SyntaxError) and error.filename == str(path):
        return ModelScriptError(f"{path}, line {error.lineno or 1}: {ended(error.msg)}")
    where = f"{path}, line {_line_of(error, path)}"
    if isinstance(error, SystemExit):
        return ModelScriptError(
            f"{where}: the script ends here, with exit({'' if error.code is None else repr(error.code)}), before it "
            "made a room. A model script must run to its end."
        )
    said = f": {error}" if str(error) else ""
    return ModelScriptError(ended(f"{where}: {type(error).__name__}{said}"))


@contextmanager
def _prints_aside() -> Iterator[None]:
    """For the while, send what is printed, also by the kernel or another program, to standard error."""
    try:
        out, aside = sys.stdout.fileno(), sys.stderr.fileno()
        sys.stdout.flush()
        kept = os.dup(out)
    except (OSError, AttributeError, ValueError):  # no files, as in a notebook
        with redirect_stdout(sys.stderr):
            yield
        return
    usual = sys.stdout
    os.dup2(aside, out)
    try:
        yield
    finally:
        for stream in (usual, sys.stdout):  # the script may have put another one in its place
            with suppress(ValueError):
                stream.flush()
        os.dup2(kept, out)
        os.close(kept)


def _line_of(error: BaseException, path: Path) -> int:
    """Last line of the script itself that an error passed through."""
    steps = traceback.walk_tb(error.__traceback__)
    return [1, *(line for frame, line in steps if Path(frame.f_code.co_filename) == path)][-1]
