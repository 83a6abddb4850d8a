"""How second derivatives of faces are kept: symmetric matrices of nine by nine, of which only upper halves are stored.

Glossary: a face has three corners and each corner three axes; row or column ``3 corner + axis`` of its matrix belongs
to one of the nine. Numbers of many faces lie side by side, so that each step of a computation runs over all faces.
"""

import numpy as np

__all__ = ["UPPER", "WHOLE"]

UPPER = np.triu_indices(9)
"""Rows and columns of the upper half, row after row."""
WHOLE = np.zeros((9, 9), dtype=np.int64)
"""Place in the upper half of each of the nine by nine."""
WHOLE[UPPER] = WHOLE[UPPER[1], UPPER[0]] = np.arange(len(UPPER[0]))
