"""Docstrings against signatures: each parameter by its name, each number with its unit in brackets."""

import ast
import collections.abc
import importlib
import inspect
import pkgutil
import re
import types
import typing
from pathlib import Path

import attrs
import docstring_parser
import numpy as np
import pytest

import shellparts.loads
from shellparts.loads.ranges import Range

FOLDER = Path(shellparts.loads.__file__).parent
MODULES = [importlib.import_module(f"shellparts.loads.{m.name}") for m in pkgutil.iter_modules([str(FOLDER)])]
UNIT = re.compile(r"\[[^\]]+\]")


def public(kind):
    return [
        pytest.param(getattr(module, name), id=f"{module.__name__.rpartition('.')[2]}.{name}")
        for module in MODULES
        for name in module.__all__
        if kind(getattr(module, name))
    ]


FUNCTIONS = public(inspect.isfunction)
CLASSES = public(lambda thing: inspect.isclass(thing) and attrs.has(thing))
METHODS = [
    pytest.param(member, id=f"{c.id}.{name}")
    for c in CLASSES
    for name, member in vars(c.values[0]).items()
    if inspect.isfunction(member) and not name.startswith("_")
]


def is_number(annotation) -> bool:
    """Whether an annotation holds a bare number, a range of numbers, or an array of them."""
    if isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is typing.Union:
        return any(is_number(part) for part in typing.get_args(annotation))
    if typing.get_origin(annotation) is collections.abc.Callable:
        return False
    if typing.get_origin(annotation) is not None:
        return any(is_number(part) for part in typing.get_args(annotation) if part is not Ellipsis)
    return annotation in (float, int, Range, np.ndarray)


def documented(thing) -> dict[str, docstring_parser.common.DocstringParam]:
    doc = docstring_parser.parse(inspect.getdoc(thing) or "", docstring_parser.DocstringStyle.NUMPYDOC)
    return {name.strip().lstrip("*"): p for p in doc.params for name in p.arg_name.split(",")}


def test_there_is_something_to_check():
    assert len(FUNCTIONS) > 50
    assert len(CLASSES) > 20


@pytest.mark.parametrize("function", FUNCTIONS + METHODS)
def test_docstring_lists_every_parameter_with_its_unit(function):
    listed = documented(function)
    names = [name for name in inspect.signature(function).parameters if name != "self"]
    assert list(listed) == names
    hints = typing.get_type_hints(function)
    for name in names:
        if is_number(hints[name]):
            assert UNIT.search(listed[name].description or ""), f"{name} has no unit"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_docstring_says_what_comes_back_and_in_which_unit(function):
    returns = docstring_parser.parse(
        inspect.getdoc(function), docstring_parser.DocstringStyle.NUMPYDOC
    ).returns
    back = typing.get_type_hints(function)["return"]
    if back is type(None):
        return
    assert returns is not None
    if is_number(back):
        assert UNIT.search(returns.description or "")


@pytest.mark.parametrize("kind", CLASSES)
def test_class_docstring_lists_every_field_with_its_unit(kind):
    listed = documented(kind)
    fields = {f.name: f.type for f in attrs.fields(attrs.resolve_types(kind))}
    assert list(listed) == list(fields)
    for name, annotation in fields.items():
        if is_number(annotation):
            assert UNIT.search(listed[name].description or ""), f"{name} has no unit"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_function_that_raises_says_so(function):
    source = inspect.getsource(function)
    doc = docstring_parser.parse(inspect.getdoc(function), docstring_parser.DocstringStyle.NUMPYDOC)
    if "raise ParameterError" in source:
        assert any(r.type_name == "ParameterError" for r in doc.raises)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda p: p.name)
def test_a_module_is_short_open_and_knows_no_kernel(path):
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert len(text.splitlines()) <= 400
    assert ast.get_docstring(tree)
    base = ("shellparts.errors", "shellparts.units", "shellparts.tolerances")
    allowed = ("shellparts.loads", "shellparts.parameters", *base)
    for node in ast.walk(tree):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        for name in names:
            assert not name.startswith(("cadquery", "OCP", "matplotlib"))
            assert not name.startswith("shellparts") or name.startswith(allowed)
