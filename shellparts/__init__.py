"""shellparts: walk-in rooms of cloth held up by a fan, as parametric CadQuery scripts.

>>> from shellparts import Design, Shell, build
>>> room = build(Design(name="bare", shell=Shell(panels=8, across="3 m", height="2.4 m")))
>>> room.design.shell.panels
8

`build` gives a `Room`; ask it for its ``body``, ``outlines``, ``pattern``, ``summary()``, or let it
``write()`` every file. The geometry kernel starts when the body is first asked for.
"""

from importlib import import_module
from typing import Any

__all__ = [
    "Allowances",
    "Cloth",
    "Design",
    "Doorway",
    "Flap",
    "Marking",
    "ParameterError",
    "Prices",
    "Printing",
    "Room",
    "Shell",
    "ShellpartsError",
    "Site",
    "Sleeve",
    "Workshop",
    "build",
    "cloth_roll",
    "cloth_sheet",
    "crowd_of",
    "fan_from_csv",
    "fan_from_label",
    "fan_from_points",
    "main_for",
    "plain_errors",
    "register",
]

import shellparts.build

del shellparts.build  # the name is the function's; the folder of that name is found all the same

_HOME = {
    "Doorway": "openings",
    "Sleeve": "openings",
    "ParameterError": "base.errors",
    "ShellpartsError": "base.errors",
    "Room": "build.room",
    "build": "build.room",
    "main_for": "cli",
    "plain_errors": "cli",
    "Cloth": "parameters.cloth",
    "Prices": "parameters.workshop",
    "Workshop": "parameters.workshop",
    "cloth_roll": "parameters.cloth",
    "cloth_sheet": "parameters.cloth",
    "Site": "parameters.site",
    "crowd_of": "parameters.site",
    "fan_from_csv": "parameters.fan_sources",
    "fan_from_label": "parameters.fan_sources",
    "fan_from_points": "parameters.fan_sources",
    "register": "plugin",
}


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'parameters')}"), name)
