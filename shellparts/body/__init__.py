"""The body: all parts joined, with the edges they share.

Glossary: a *key* is the number of an edge in the body; both sides of a seam know it by the same key. The
*envelope* is the closed solid of air that the cloth holds, with the floor and the sleeve's mouth closed by
flat faces. The body is the single source of truth: everything after it reads it, and nothing derives a shape
from the design again.
"""

from importlib import import_module
from typing import Any

__all__ = ["Body", "BodyFace", "BodySheet", "EdgeRole", "EdgeUse", "Figures", "SeamGraph", "assemble"]

_HOME = {"assemble": "assembly", "EdgeRole": "seams", "EdgeUse": "seams", "SeamGraph": "seams"}


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for, so that the graph of seams comes without the kernel."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'body')}"), name)
