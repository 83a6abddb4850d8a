"""The total energy of an inflated membrane, and its first and second derivatives, all exact.

    energy = cloth − pressure × volume + weight × height + floor

Glossary: *cloth* energy is that of `tension`, on Green's strain of each triangle against its flat shape
(constant over the triangle, any displacement). The *pressure* is the same everywhere and follows the
surface, for the volume does. The *floor* is the plane z = 0: it pushes back in proportion to how deep a
node sinks, and carries the air pressure at a sinking of `TOLERANCES.floor_sink_mm`.

Lengths are in mm and forces in N, so energies are in N mm; pressures come in Pa, stiffnesses in N/m and
masses in kg/m^2. This module knows nothing of holds and does not look for equilibrium.
"""

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from shellparts.base.errors import ParameterError
from shellparts.base.tolerances import TOLERANCES
from shellparts.inflate.sheet import MembraneSheet, lumped_area
from shellparts.inflate.tension import Relaxed, relax, tangent

__all__ = ["UPPER", "WHOLE", "FormEnergy", "Loads", "Potential"]

Floats = NDArray[np.float64]

_PASCAL = 1e-6
"""One pascal in N/mm^2."""

# Second derivatives of faces are symmetric matrices of nine by nine (three corners with three axes), of which only the
# upper halves are stored. Numbers of many faces lie side by side, so that each step of a computation runs over all.
UPPER = np.triu_indices(9)
"""Rows and columns of the upper half, row after row."""
WHOLE = np.zeros((9, 9), dtype=np.int64)
"""Place in the upper half of each of the nine by nine."""
WHOLE[UPPER] = WHOLE[UPPER[1], UPPER[0]] = np.arange(len(UPPER[0]))


@frozen
class Loads:
    """What acts on the cloth.

    Parameters
    ----------
    pressure_Pa : float
        Air pressure inside above that outside [Pa].
    gravity_m_s2 : float
        Fall of a stone [m/s^2]; zero leaves the cloth's weight out.
    floor : bool
        Whether the plane z = 0 stops the cloth.

    Raises
    ------
    ParameterError
        If the pressure is not positive or gravity is negative.
    """

    pressure_Pa: float = field(converter=float)
    gravity_m_s2: float = field(converter=float, default=9.80665)
    floor: bool = False

    def __attrs_post_init__(self) -> None:
        """Refuse loads that make no sense."""
        if not (np.isfinite(self.pressure_Pa) and self.pressure_Pa > 0):
            raise ParameterError(
                "pressure", f"{self.pressure_Pa:g} Pa", "positive", "give the fan's pressure"
            )
        if not (np.isfinite(self.gravity_m_s2) and self.gravity_m_s2 >= 0):
            raise ParameterError("gravity", f"{self.gravity_m_s2:g} m/s2", "zero or more", "use 9.80665")


def _cross(u: Floats, v: Floats) -> Floats:
    """Cross products row by row; numpy's own takes several times as long on short rows."""
    a, b, c = u.T
    d, e, f = v.T
    return np.stack([b * f - c * e, c * d - a * f, a * e - b * d], axis=-1)


class Potential:
    """What one loaded sheet's energy depends on; `form` gives its value and derivatives.

    Parameters
    ----------
    sheet : MembraneSheet
        The membrane.
    loads : Loads
        What acts on it.
    """

    def __init__(self, sheet: MembraneSheet, loads: Loads):
        self.sheet, self.loads = sheet, loads
        gradients = sheet.shape_gradients()
        self._stretching = _stretching(sheet, gradients)
        self._gradients = np.ascontiguousarray(gradients.transpose(1, 2, 0))
        self._area = sheet.rest_area
        self._compliance = sheet.compliance
        self._faces = sheet.faces
        self._pressure = loads.pressure_Pa * _PASCAL
        self._weight = lumped_area(sheet, sheet.areal_mass) * loads.gravity_m_s2 * _PASCAL
        floor = self._pressure / TOLERANCES.floor_sink_mm if loads.floor else 0.0
        self._floor = lumped_area(sheet) * floor

    def form(self, x: Floats) -> "FormEnergy":
        """Energy and derivatives for nodes `x` (n, 3) [mm]; what they have in common is worked out once."""
        return FormEnergy(self, x)

    def deformation(self, x: Floats) -> Floats:
        """Deformation gradient of each triangle (m, 3, 2): unit warp and weft of the flat cloth, in space."""
        return (self._stretching @ x).reshape(2, -1, 3).transpose(1, 2, 0)

    def cloth(self, deformation: Floats) -> Relaxed:
        """Forces and energies [N/mm] for deformation gradients (m, 3, 2)."""
        f1, f2 = deformation[..., 0], deformation[..., 1]
        strain = np.stack(
            [
                0.5 * (np.einsum("mi,mi->m", f1, f1) - 1),
                0.5 * (np.einsum("mi,mi->m", f2, f2) - 1),
                np.einsum("mi,mi->m", f1, f2),
            ],
            axis=-1,
        )
        return relax(strain, self._compliance)

    def pressure_load(self, x: Floats) -> Floats:
        """Force of the air on each node (n, 3) [N]: the derivative of pressure times volume."""
        p = x[self._faces]
        corner = np.stack(
            [_cross(p[:, 1], p[:, 2]), _cross(p[:, 2], p[:, 0]), _cross(p[:, 0], p[:, 1])], axis=1
        )
        return self._scatter(corner * (self._pressure / 6))

    def face_load(self, x: Floats) -> Floats:
        """Force of the air on the faces, a third of each to each corner, (n, 3) [N].

        It equals `pressure_load` in every free direction; at held edges it does not, for there the derivative of the
        volume counts the hole's rim as well. What holds must bear comes from this one.
        """
        p = x[self._faces]
        third = _cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]) * (self._pressure / 6)
        return self._scatter(np.repeat(third[:, None], 3, axis=1))

    def _scatter(self, values: Floats) -> Floats:
        """Sum (m + k, 3, 3) values at the corners of faces into nodes."""
        n, index = len(self.sheet.nodes), self._faces.ravel()
        flat = values.reshape(-1, 3)
        return np.stack([np.bincount(index, weights=flat[:, c], minlength=n) for c in range(3)], axis=-1)


def _stretching(sheet: MembraneSheet, gradients: Floats) -> csr_matrix:
    """Matrix (2 m, n) from the nodes to warp and weft edges of all triangles."""
    m, n = len(sheet.triangles), len(sheet.nodes)
    corners = np.concatenate([sheet.triangles.ravel()] * 2)
    values = np.concatenate([gradients[..., 0].ravel(), gradients[..., 1].ravel()])
    return csr_matrix((values, corners, np.arange(0, 6 * m + 1, 3)), shape=(2 * m, n))


class FormEnergy:
    """Energy, gradient and second derivative of a loaded sheet in one form; made by `Potential.form`.

    Parameters
    ----------
    potential : Potential
        The loaded sheet.
    x : ndarray (n, 3) float
        Nodes [mm].
    """

    def __init__(self, potential: Potential, x: Floats):
        self.x = x
        self._of = potential
        self._f = potential.deformation(x)
        self._relaxed = potential.cloth(self._f)
        #: Force of the air on each node, (n, 3) [N].
        self.air_N = potential.pressure_load(x)

    def energy(self, stiffness: float = 1.0) -> float:
        """Total energy [N mm], with a factor on the cloth's stiffness."""
        of, z = self._of, self.x[:, 2]
        cloth = stiffness * float(self._relaxed.energy @ of._area)
        rest = float(of._weight @ z) + 0.5 * float(of._floor @ np.minimum(z, 0.0) ** 2)
        # the volume is of the third degree in the nodes: by Euler's theorem, a third of them times its derivative
        return cloth + rest - float(self.air_N.ravel() @ self.x.ravel()) / 3.0

    def gradient(self, stiffness: float = 1.0) -> Floats:
        """First derivative (n, 3) of the energy [N]."""
        of, z = self._of, self.x[:, 2]
        s1, s2, s12 = (self._relaxed.force * (stiffness * of._area)[:, None]).T[..., None]
        f1, f2 = self._f[..., 0], self._f[..., 1]
        pull = np.concatenate([f1 * s1 + f2 * s12, f1 * s12 + f2 * s2])
        out = of._stretching.T @ pull - self.air_N
        out[:, 2] += of._weight + of._floor * np.minimum(z, 0.0)
        return out

    def hessian(self, stiffness: float = 1.0) -> tuple[Floats, Floats]:
        """Second derivative of the energy [N/mm]: of each face the `UPPER` half (45, m + k), of each node (n, 3, 3).

        Rows and columns of a face's matrix are ``3 corner + axis``.
        """
        of, x, d = self._of, self.x, self._of._gradients
        m = d.shape[-1]
        f = np.ascontiguousarray(self._f.transpose(2, 1, 0))
        along, across = (d[:, k, None] * f[k] for k in (0, 1))
        shear = d[:, 0, None] * f[1] + d[:, 1, None] * f[0]
        rows = np.stack([along, across, shear]).reshape(3, 9, m)
        scale = stiffness * of._area
        moduli = np.ascontiguousarray(tangent(self._relaxed, of._compliance).transpose(1, 2, 0)) * scale
        pulled = [sum(moduli[i, k] * rows[k] for k in range(3)) for i in range(3)]
        faces = np.zeros((len(UPPER[0]), len(of._faces)))
        for i in range(9):
            first = WHOLE[i, i]
            faces[first : first + 9 - i, :m] = sum(rows[k, i] * pulled[k][i:] for k in range(3))
        s1, s2, s12 = self._relaxed.force.T * scale
        for corner in range(3):
            u, v = d[corner, 0] * s1 + d[corner, 1] * s12, d[corner, 0] * s12 + d[corner, 1] * s2
            for beside in range(corner, 3):
                turning = u * d[beside, 0] + v * d[beside, 1]
                for axis in range(3):
                    faces[WHOLE[3 * corner + axis, 3 * beside + axis], :m] += turning
        p = x.T[:, of._faces.T] * (of._pressure / 6)
        for corner, beside, opposite, sign in ((0, 1, 2, 1.0), (1, 2, 0, 1.0), (0, 2, 1, -1.0)):
            for axis in range(3):
                # the cross product with the opposite corner
                on, last = (axis + 1) % 3, (axis + 2) % 3
                faces[WHOLE[3 * corner + axis, 3 * beside + on]] -= sign * p[last, opposite]
                faces[WHOLE[3 * corner + on, 3 * beside + axis]] += sign * p[last, opposite]
        nodes = np.zeros((len(x), 3, 3))
        nodes[:, 2, 2] = np.where(x[:, 2] < 0, of._floor, 0.0)
        return faces, nodes
