"""shellparts: walk-in rooms of cloth held up by a fan, as parametric CadQuery scripts.

>>> from shellparts import Design, Shell, build
>>> room = build(Design(name="bare", shell=Shell(panels=8, across="3 m", height="2.4 m")))
>>> room
<Room bare: 8 panels, 3.00 m across, 2.31 m high as sewn>

`build` gives a `Room`; ask it for its ``envelope``, ``sheet(…)``, ``flat(…)``, ``summary()``, or let it ``write()``
every file. The geometry kernel starts when a solid is first asked for.

The names that the package offers, and where each lives, stand in ``__init__.pyi``: type checkers read it, and a name
is loaded from there when it is first asked for.
"""

import inspect
from typing import Any

import lazy_loader

import shellparts.build
from shellparts.base.calls import plain_call

del shellparts.build  # the name is the function's; the folder of that name is found all the same

_load, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)


def __getattr__(name: str) -> Any:
    """Load a name and keep it; what readers call answers arguments that do not fit in this library's words."""
    found = _load(name)
    globals()[name] = plain_call(found) if inspect.isfunction(found) else found
    return globals()[name]
