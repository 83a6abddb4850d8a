"""The body: all parts joined, with the edges they share.

Glossary: a *key* is the number of an edge in the body; both sides of a seam know it by the same key. The
*envelope* is the closed solid of air that the cloth holds, with the floor and the sleeve's mouth closed by
flat faces. The body is the single source of truth: everything after it reads it, and nothing derives a shape
from the design again.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
