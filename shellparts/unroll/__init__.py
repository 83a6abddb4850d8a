"""Lay faces flat, exactly: flat outlines of developable faces, each with a certificate.

Glossary: a face is *developable* when it can be laid flat without stretch (planes, cylinders, cones, and
every ruled surface with one tangent plane along each ruling); its *outline* is the flat boundary; a *fold* is
an edge between two faces of one outline; a *joint* is an edge where a closed tube is cut open.

The data (`Outline` and what it is made of) need numpy only; the functions that read faces load the geometry
kernel when they are first asked for. This package knows nothing of cloth, allowances or drawings.
"""

from importlib import import_module
from typing import Any

__all__ = [
    "FaceReport",
    "FlatEdge",
    "FoldLine",
    "Form",
    "Loop",
    "Outline",
    "survey",
    "unroll_face",
    "unroll_group",
]

_HOME = {
    "FaceReport": "outline",
    "FlatEdge": "outline",
    "FoldLine": "outline",
    "Form": "outline",
    "Loop": "outline",
    "Outline": "outline",
    "survey": "inspection",
    "unroll_face": "face",
    "unroll_group": "group",
}


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for (PEP 562)."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    """Name what this package offers."""
    return sorted(__all__)
