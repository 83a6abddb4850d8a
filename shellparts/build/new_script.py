"""A model script of one's own, begun from one that is there.

The shipped scripts lie beside the package in a checkout, and inside it where it is installed.
"""

import ast
import importlib.util
import keyword
import re
from pathlib import Path

from shellparts.base.checks import require
from shellparts.base.errors import ModelScriptError, OutputError, ended
from shellparts.base.names import named

__all__ = ["new_script", "shipped_scripts"]

_PACKAGE = Path(__file__).parents[1]
_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")


def shipped_scripts() -> dict[str, Path]:
    """The model scripts that are shipped, by name."""
    inside = _PACKAGE / "models"
    folder = inside if inside.is_dir() else _PACKAGE.parent / "models"
    return {path.stem: path for path in sorted(folder.glob("*.py"))}


def new_script(name: str, like: str, folder: Path | None = None) -> Path:
    """Write a copy of a model script under another name.

    Parameters
    ----------
    name : str
        Of the room, its files and the script: lower-case letters, digits and underscores.
    like : str
        Name of a shipped script, or the path of any other.
    folder : Path, optional
        Where it is written, the current folder unless given.

    Returns
    -------
    Path
        The script.

    Raises
    ------
    ParameterError
        If the name cannot be that of a script, is taken, or there is nothing to copy.
    ModelScriptError
        If what is to be copied is no model script.
    OutputError
        If the system refuses to write.
    """
    path = (folder or Path()) / f"{name}.py"
    _check_name(name, path)
    source = Path(like) if like.endswith(".py") else named("model", shipped_scripts(), like)
    try:
        text = source.read_text(encoding="utf-8-sig")
        text = _renamed(
            text, name, f"{name.replace('_', ' ').capitalize()}: a room of your own, like {source.stem}."
        )
    except (OSError, SyntaxError, ValueError) as error:
        raise ModelScriptError(
            f"{source} cannot be copied: {ended(str(getattr(error, 'strerror', None) or error))}"
        ) from error
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise _taken(path) from None
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}.") from error
    return path


def _check_name(name: str, path: Path) -> None:
    """Refuse a name that is none, is taken, or would hide a module that the script needs."""
    fits = _NAME.fullmatch(name) is not None and not keyword.iskeyword(name)
    limit = "a lower-case letter followed by up to 39 lower-case letters, digits or underscores, and no word of Python"
    require(fits, "name of the script", repr(name), limit, "write it like reading_cave")
    if path.exists():
        raise _taken(path)
    hides = importlib.util.find_spec(name) is not None
    limit = "a name that no installed module has"
    require(not hides, "name of the script", repr(name), limit, f"the script would hide it; take my_{name}")


def _taken(path: Path) -> ModelScriptError:
    return ModelScriptError(
        f"{path} is there already, and nothing is overwritten. Choose another name, or delete it."
    )


def _renamed(text: str, name: str, about: str) -> str:
    """A script with another name and title of its design, and a docstring that says what it is."""
    tree = ast.parse(text)
    calls = [
        node for node in ast.walk(tree) if isinstance(node, ast.Call) and ast.unparse(node.func) == "Design"
    ]
    if len(calls) != 1:
        raise ValueError(f"it makes {len(calls)} designs; a model script makes one")
    new = {"name": repr(name).replace("'", '"'), "title": '"a room of our own"'}
    places: list[tuple[ast.expr | ast.stmt, str]] = [
        (one.value, new[one.arg]) for one in calls[0].keywords if one.arg in new
    ]
    if ast.get_docstring(tree) is not None:
        places.append((tree.body[0], f'"""{about}\n\nChange the numbers, and run it: python {name}.py\n"""'))
    lines = text.encode().splitlines(keepends=True)
    starts = [sum(map(len, lines[:row])) for row in range(len(lines))]
    data = text.encode()
    for node, words in sorted(places, key=lambda place: (place[0].lineno, place[0].col_offset), reverse=True):
        begin = starts[node.lineno - 1] + node.col_offset
        end = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
        data = data[:begin] + words.encode() + data[end:]
    return data.decode().replace("\r\n", "\n")
