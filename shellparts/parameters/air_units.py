"""Flow and pressure as fan makers print them.

Glossary: *cfm* is a cubic foot of air a minute; *in wg* is an inch of water in a gauge, the conventional
one (water of 1000 kg/m³). Inside the library a flow is in m³/s and a pressure in Pa. This module does not
know whether a printed figure is true.
"""

import re

from shellparts.base.errors import ParameterError

__all__ = ["CFM_M3_S", "IN_WG_PA", "read_flow", "read_pressure"]

#: One cubic foot a minute [m³/s]: 0.3048³ / 60.
CFM_M3_S = 0.3048**3 / 60.0
#: One conventional inch of water [Pa]: 0.0254 m × 1000 kg/m³ × 9.80665 m/s².
IN_WG_PA = 0.0254 * 1000.0 * 9.80665

_FLOWS = {"m3/s": 1.0, "m³/s": 1.0, "m3/h": 1 / 3600, "m³/h": 1 / 3600, "l/s": 1e-3, "cfm": CFM_M3_S}
_PRESSURES = {"pa": 1.0, "hpa": 100.0, "mbar": 100.0, "in wg": IN_WG_PA, "inwg": IN_WG_PA, "mm wg": 9.80665}
_TEXT = re.compile(r"\s*(\d[\d,]*\.?\d*|\.\d+)\s*(\S.*?)\s*")


def _read(text: str, table: dict[str, float], what: str, remedy: str) -> float:
    """Read one number with one unit of `table`."""
    match = _TEXT.fullmatch(text) if isinstance(text, str) else None
    if match is None or match[2].lower() not in table:
        negative = isinstance(text, str) and text.strip().startswith("-")
        limit = ("more than 0, " if negative else "") + "a number with one of the units " + ", ".join(table)
        raise ParameterError(what, repr(text), limit, remedy)
    return float(match[1].replace(",", "")) * table[match[2].lower()]


def read_flow(text: str) -> float:
    """Read a flow of air with its unit.

    Parameters
    ----------
    text : str
        Such as ``"3,500 cfm"``, ``"1.65 m3/s"``, ``"5900 m3/h"``; commas part thousands.

    Returns
    -------
    float
        The flow [m³/s].

    Raises
    ------
    ParameterError
        If the text is not a number with a unit of flow.

    Examples
    --------
    >>> round(read_flow("3,500 cfm"), 6)
    1.651816
    """
    return _read(text, _FLOWS, "flow", "write it as on the fan's label, '3500 cfm' or '1.65 m3/s'")


def read_pressure(text: str) -> float:
    """Read a pressure of air with its unit.

    Parameters
    ----------
    text : str
        Such as ``"50 Pa"``, ``"0.2 in wg"``.

    Returns
    -------
    float
        The pressure [Pa].

    Raises
    ------
    ParameterError
        If the text is not a number with a unit of pressure.

    Examples
    --------
    >>> round(read_pressure("0.2 in wg"), 4)
    49.8178
    """
    return _read(text, _PRESSURES, "pressure", "write it as in the fan's table, '50 Pa' or '0.2 in wg'")
