"""Model scripts: run one, with parameters overridden, and find the room that it makes.

A parameter is a plain constant at the top level of the script: ``panels = 12``. That is also what CadQuery's
own script gateway can see and override.
"""

import ast
import difflib
import re
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shellparts.errors import ModelScriptError, ParameterError, ShellpartsError
from shellparts.units import meant_metres, to_mm

if TYPE_CHECKING:
    from shellparts.room import Room

__all__ = ["parse_overrides", "run_script"]

Value = int | float | str | bool | None


def parse_overrides(words: list[str]) -> dict[str, Value]:
    """Read ``name=value`` words.

    Parameters
    ----------
    words : list of str

    Returns
    -------
    dict
        Numbers, True, False and None as such; everything else as text.

    Raises
    ------
    ModelScriptError
        If a word has no name or no equals sign.

    Examples
    --------
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
        except (ValueError, SyntaxError):
            value = text
        values[name] = value if isinstance(value, int | float | str | bool | None) else text
    return values


def _parameters(tree: ast.Module) -> dict[str, ast.Assign]:
    """Assignments of plain constants at the top level, by name."""
    found = {}
    for node in tree.body:
        if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
            value = node.value.operand if isinstance(node.value, ast.UnaryOp) else node.value
            if isinstance(value, ast.Constant):
                found[node.targets[0].id] = node
    return found


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
    from shellparts.room import Room

    try:
        source = path.read_text(encoding="utf-8")
        tree = ast.parse(source, filename=str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise ModelScriptError(
            f"{path} cannot be read: {getattr(error, 'strerror', None) or error}."
        ) from None
    except SyntaxError as error:
        if path.suffix != ".py":
            raise ModelScriptError(
                f"{path} is not a model script. Give one of those in models/, or your own copy: a file ending in .py."
            ) from None
        raise ModelScriptError(f"{path}, line {error.lineno}: {error.msg}.") from None
    parameters = _parameters(tree)
    for name, value in overrides.items():
        if name not in parameters:
            known = ", ".join(parameters) or "none"
            raise ModelScriptError(
                f"{path.name} has no parameter {name!r}. Its parameters are: {known}.{_near(name, parameters)}"
            )
        parameters[name].value = ast.copy_location(ast.Constant(value), parameters[name].value)
    namespace: dict[str, Any] = {"__name__": "__model__", "__file__": str(path)}
    sys.path.insert(0, str(path.parent.absolute()))
    try:
        exec(compile(ast.fix_missing_locations(tree), str(path), "exec"), namespace)
    except ParameterError as error:
        raise _with_hint(error) from None
    except ShellpartsError:
        raise
    except Exception as error:
        raise ModelScriptError(
            f"{path}, line {_line_of(error, path)}: {type(error).__name__}: {error}."
        ) from error
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


def _with_hint(error: ParameterError) -> ParameterError:
    """The same error; where a bare number would be right in metres, with that question."""
    value = re.fullmatch(r"([\d.]+) mm", error.value)
    limits = re.fullmatch(r"from (\d+ mm) to (\d+ mm)", error.limit)
    if value is None or limits is None:
        return error
    hint = meant_metres(float(value[1]), to_mm(limits[1]), to_mm(limits[2]))
    return (
        ParameterError(error.what, error.value, error.limit, f"{hint} Otherwise {error.remedy}")
        if hint
        else error
    )


def _line_of(error: BaseException, path: Path) -> int:
    """Last line of the script itself that an error passed through."""
    line, step = 0, error.__traceback__
    while step is not None:
        if step.tb_frame.f_code.co_filename == str(path):
            line = step.tb_lineno
        step = step.tb_next
    return line
