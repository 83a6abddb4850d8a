"""The reference: every public name with what it takes, gives and raises, from the docstrings, as one Markdown page.

``python -m shellparts.reference [FOLDER]`` writes ``reference.md``; it needs ``pip install ".[docs]"``. Names stand by
the module that they live in, under the sentence that opens it.
"""

import ast
import inspect
import re
from collections.abc import Callable, Iterable, Iterator
from enum import Enum
from functools import cached_property
from pathlib import Path
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

import attrs
import click
from docstring_parser import DocstringStyle, parse

import shellparts

__all__ = ["main", "reference"]

_STUB = Path(__file__).with_name("__init__.pyi")
#: What a reader begins with comes first.
_ORDER = ("build", "parameters", "openings", "plugin", "unroll", "cli", "base")


def reference() -> str:
    """The whole page."""
    homes = _homes()
    names = [name for found in homes.values() for name in found]
    about = inspect.cleandoc(shellparts.__doc__ or "").splitlines()[0]
    lines = ["# Reference", "", about, "", *_index(names)]
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
    return "\n".join(lines) + "\n"


def _short_heading(sentence: str) -> str:
    """A long opening sentence up to its first pause."""
    return re.split(r"[:;.]\s", sentence.replace("\n", " "))[0].rstrip(".")


def _homes() -> dict[Any, list[str]]:
    """The public names by the module that they live in, in the order in which the package lists those."""
    homes: dict[Any, list[str]] = {}
    for node in ast.parse(_STUB.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom):
            module = inspect.importlib.import_module(f"shellparts.{node.module}")  # type: ignore[attr-defined]
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
        made_by_readers = hasattr(thing.__init__, "__wrapped__")
        members = [] if made_by_readers else list(_members(thing))
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
    if origin in (Union, UnionType):
        return " | ".join(_type(one) for one in inner)
    if origin is dict and inner[1] is Any:
        return "dict"
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
    if isinstance(default, attrs.Factory):  # type: ignore[arg-type]
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


def _told(thing: Any, takes: dict[str, tuple[str, str]]) -> list[str]:
    """A docstring in full: prose, what it takes, gives, raises, and its examples."""
    doc = parse(inspect.getdoc(thing) or "", DocstringStyle.NUMPYDOC)
    said = {
        name.strip().lstrip("*"): one.description or ""
        for one in doc.params
        for name in one.arg_name.split(",")
    }
    lines = [*_prose(thing), ""]
    if said.keys() & takes.keys():
        lines += ["| takes | | usually | |", "|---|---|---|---|"]
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


def _members(thing: type) -> Iterator[str]:
    """What an object has and can do."""
    found = {
        name: value
        for one in reversed(thing.__mro__[:-1])
        for name, value in vars(one).items()
        if name[0] != "_"
    }
    fields = {one.name for one in attrs.fields(thing)}
    for name, value in sorted(found.items()):
        inner = value.func if isinstance(value, cached_property) else getattr(value, "fget", value)
        if name in fields or not inspect.isfunction(inner) or not inspect.getdoc(inner):
            continue
        signature = inspect.signature(inner)
        if inner is value:
            yield from ("", f"#### {thing.__name__}.{name}", "", *_code(f".{name}", value), "")
            yield from _told(value, _written(signature))
        else:
            yield from ("", f"#### {thing.__name__}.{name}", "", *_prose(inner))
            yield from ("", f"Gives `{_type(signature.return_annotation)}`")


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
