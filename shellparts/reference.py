"""The reference: every public name with what it takes, gives and raises, from the docstrings, as one Markdown page.

``python -m shellparts.reference [FOLDER]`` writes ``reference.md``; it needs ``pip install ".[docs]"``. Names stand by
the module that they live in, under the sentence that opens it.
"""

import ast
import importlib
import inspect
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from enum import Enum
from functools import cached_property
from pathlib import Path
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

import attrs
import click
import numpy as np
from docstring_parser import DocstringStyle, parse
from numpy.typing import ArrayLike

import shellparts

__all__ = ["main", "reference"]

#: Of what is handed out this much is told: what a public name gives, its parts, and theirs.
_DEPTH = 3
#: What a reader of the types may stumble over.
_WORDS = (
    'A word kept in a name (`head = "arched"`) is any text to mypy, and a parameter that took any text would let '
    '`"arhced"` pass: write the word where it is used, or keep the member (`head = Head.ARCHED`).'
)
_STUB = Path(__file__).with_name("__init__.pyi")
#: What a reader begins with comes first.
_ORDER = ("build", "parameters", "openings", "plugin", "unroll", "cli", "base")


def reference() -> str:
    """The whole page."""
    homes = _homes()
    names = [name for found in homes.values() for name in found]
    about = inspect.cleandoc(shellparts.__doc__ or "").splitlines()[0]
    lines = ["# Reference", "", about, "", _WORDS, "", *_index(names)]
    for module, found in sorted(homes.items(), key=lambda one: _ORDER.index(one[0].__name__.split(".")[1])):
        first = inspect.cleandoc(inspect.getdoc(module) or "").split("\n\n")[0]
        lines += ["", f"## {first.rstrip('.')}" if len(first) < 100 else f"## {_short_heading(first)}"]
        for name in found:
            lines += [
                "",
                f'<a id="name-{name}"></a>',
                "",
                f"### {name}",
                "",
                *_entry(name, getattr(shellparts, name)),
            ]
    lines += ["", "## What is handed out", "", "Objects that the names above give; nobody makes them."]
    for name, kind in sorted(_handed_out(names).items()):
        fields = {one.alias: (_type(_given(one.type)), "") for one in attrs.fields(kind)}
        lines += ["", f"#### {name}", "", *_told(kind, fields, "has"), *_members(kind)]
    return "\n".join(lines) + "\n"


def _handed_out(names: Iterable[str]) -> dict[str, Any]:
    """This library's classes by name that a public name gives, and their parts; of those only what holds no arrays."""
    modules = [module for name, module in sys.modules.items() if name.startswith("shellparts.")]
    ours = {kind.__name__: kind for module in modules for kind in vars(module).values() if _is_ours(kind)}
    found: dict[str, Any] = {}
    new = [getattr(shellparts, name) for name in names]
    for depth in range(_DEPTH):
        told = " ".join(text for thing in new for text in _types_given(thing))
        words = set(re.findall(r"\w+", told)) & ours.keys() - {*names, *found}
        found |= {word: ours[word] for word in words if not depth or not _holds_arrays(ours[word])}
        new = [found[word] for word in words & found.keys()]
    return found


def _holds_arrays(kind: Any) -> bool:
    return any(re.search("ndarray|Draws", _type(_given(one.type))) for one in attrs.fields(kind))


def _is_ours(kind: Any) -> bool:
    return inspect.isclass(kind) and attrs.has(kind) and kind.__module__.startswith("shellparts.")


def _of_fields(kind: Any) -> bool:
    """Whether readers make it of fields, and what else it has is for the library."""
    return hasattr(kind.__init__, "of_fields")


def _types_given(thing: Any) -> Iterator[str]:
    """Types of what a function gives, or of what an object has and gives."""
    if inspect.isfunction(thing):
        yield _type(inspect.signature(thing).return_annotation)
    elif _is_ours(thing):
        yield from () if _of_fields(thing) else (_type(_given(one.type)) for one in attrs.fields(thing))
        for _, inner, _ in _own(thing):
            yield _type(inspect.signature(inner).return_annotation)


def _short_heading(sentence: str) -> str:
    """A long opening sentence up to its first pause."""
    return re.split(r"[:;.]\s", sentence.replace("\n", " "))[0].rstrip(".")


def _homes() -> dict[Any, list[str]]:
    """The public names by the module that they live in, in the order in which the package lists those."""
    homes: dict[Any, list[str]] = {}
    for node in ast.parse(_STUB.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom):
            module = importlib.import_module(f"shellparts.{node.module}")
            homes.setdefault(module, []).extend(str(alias.asname) for alias in node.names)
    return homes


def _index(names: Iterable[str]) -> list[str]:
    """Links to all of them, by the alphabet."""
    links = [f"[{name}](#name-{name})" for name in sorted(names, key=str.lower)]
    return [" · ".join(links)]


def _entry(name: str, thing: Any) -> list[str]:
    """What stands under one name."""
    if inspect.isfunction(thing):
        return [*_code(name, thing), "", *_told(thing, _written(inspect.signature(thing)))]
    if inspect.isclass(thing) and issubclass(thing, Enum):
        words = ", ".join(f"`{member.value!r}`" for member in thing)
        return [*_prose(thing), "", f"Words: {words}."]
    if inspect.isclass(thing) and attrs.has(thing):
        fields = {
            one.alias: (_type(_given(one.type)), _usual(one)) for one in attrs.fields(thing) if one.init
        }
        members = [] if _of_fields(thing) else list(_members(thing))
        return [*_told(thing, fields), *members]
    if inspect.isclass(thing):
        return _told(thing, {})
    return [f"`{thing!r}`"]


def _code(name: str, function: Callable[..., Any]) -> list[str]:
    """A call as one writes it, with its types."""
    takes = _written(inspect.signature(function))
    words = [f"{one}: {kind}" + (f" = {usual}" if usual else "") for one, (kind, usual) in takes.items()]
    return [f"`{name}({', '.join(words)})`"]


def _written(signature: inspect.Signature) -> dict[str, tuple[str, str]]:
    """Type and usual value of each parameter."""
    return {
        name: (_type(one.annotation), "" if one.default is one.empty else _value(one.default))
        for name, one in signature.parameters.items()
        if name != "self"
    }


def _given(annotation: Any) -> Any:
    """What a field may be given, where it keeps another type."""
    return getattr(annotation, "__metadata__", (None, annotation))[1]


def _type(annotation: Any) -> str:
    """A type in short: names without their modules; plain data of any depth is a dictionary."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if annotation in (None, type(None)):
        return "None"
    if origin is Literal:
        return " | ".join(repr(word) for word in inner)
    if origin in (Union, UnionType) and set(get_args(ArrayLike)) <= set(inner):
        return " | ".join(["array_like", *(_type(one) for one in inner if one not in get_args(ArrayLike))])
    if origin in (Union, UnionType):
        return " | ".join(_type(one) for one in inner)
    if origin is dict and inner[1] is Any:
        return "dict"
    if origin is np.ndarray:
        return "ndarray"
    if origin is not None:
        return f"{origin.__name__}[{', '.join('...' if one is ... else _type(one) for one in inner)}]"
    if isinstance(annotation, list):
        return f"[{', '.join(_type(one) for one in annotation)}]"
    text = str(getattr(annotation, "__name__", "") or getattr(annotation, "__forward_arg__", annotation))
    return re.sub(r"\b(?:[A-Za-z_]\w*\.)+(\w+)", r"\1", text)


def _usual(one: Any) -> str:
    """The default of a field, with its unit."""
    default = one.default
    if default is attrs.NOTHING or type(default) is object:  # a mark for what was left out
        return ""
    if isinstance(default, attrs.Factory):  # type: ignore[arg-type]  # attrs types it as a function
        return "follows from the others" if default.takes_self else _value(default.factory())
    unit = one.metadata.get("unit", "")
    return f"{_value(default)} {unit}".rstrip() if isinstance(default, float | int) else _value(default)


def _value(value: Any) -> str:
    if isinstance(value, Enum):
        return repr(value.value)
    return f"{value:g}" if isinstance(value, float) else repr(value)


def _prose(thing: Any) -> list[str]:
    doc = parse(inspect.getdoc(thing) or "", DocstringStyle.NUMPYDOC)
    return [part for part in (doc.short_description, "", doc.long_description) if part is not None]


def _told(thing: Any, takes: dict[str, tuple[str, str]], head: str = "takes") -> list[str]:
    """A docstring in full: prose, what it takes, gives, raises, and its examples."""
    doc = parse(inspect.getdoc(thing) or "", DocstringStyle.NUMPYDOC)
    said = {
        name.strip().lstrip("*"): one.description or ""
        for one in doc.params
        for name in one.arg_name.split(",")
    }
    lines = [*_prose(thing), ""]
    if said.keys() & takes.keys():
        lines += [f"| {head} | | {'usually' if head == 'takes' else ''} | |", "|---|---|---|---|"]
        lines += [
            f"| `{name}` | {_cell(kind)} | {_cell(usual)} | {_cell(said.get(name, ''), code=False)} |"
            for name, (kind, usual) in takes.items()
        ]
    if inspect.isfunction(thing):
        gives = _type(inspect.signature(thing).return_annotation)
        words = "; ".join(" ".join((one.description or "").split()) for one in doc.many_returns)
        lines += ["", f"Gives `{gives}`{': ' if words else ''}{words}"] if gives != "None" else []
    for one in doc.raises:
        lines += ["", f"Raises `{one.type_name}`: {' '.join((one.description or '').split())}"]
    for example in doc.examples:
        lines += ["", "```python", *filter(None, [example.snippet, example.description]), "```"]
    return lines


def _cell(text: str, code: bool = True) -> str:
    """Text in a cell of a table."""
    flat = " ".join(text.split()).replace("|", "\\|")
    return f"`{flat}`" if code and flat else flat


def _own(thing: type) -> Iterator[tuple[str, Callable[..., Any], bool]]:
    """Name and function of what an object can do and work out, and whether it is called."""
    found = {
        name: value
        for one in reversed(thing.__mro__[:-1])
        for name, value in vars(one).items()
        if name[0] != "_"
    }
    fields = {one.name for one in attrs.fields(thing)}
    for name, value in sorted(found.items()):
        inner = value.func if isinstance(value, cached_property) else getattr(value, "fget", value)
        if name not in fields and inspect.isfunction(inner) and inspect.getdoc(inner):
            yield name, inner, inner is value


def _members(thing: type) -> Iterator[str]:
    """What an object has and can do."""
    for name, inner, is_called in _own(thing):
        yield from ("", f"#### {thing.__name__}.{name}", "")
        if is_called:
            yield from (*_code(f".{name}", inner), "")
            yield from _told(inner, _written(inspect.signature(inner)))
        else:
            given = _type(inspect.signature(inner).return_annotation)
            yield from (*_prose(inner), "", f"Gives `{given}`")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
def main(folder: Path) -> None:
    """Write reference.md into a FOLDER, this one unless given."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "reference.md"
    path.write_text(reference(), encoding="utf-8", newline="\n")
    click.echo(f"written: {path}")


if __name__ == "__main__":
    main()
