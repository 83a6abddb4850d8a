"""The cloth as the mechanics sees it: stiff along its threads, soft on the bias, yielding to any push.

Glossary: *warp* runs along the roll, *weft* across it. A *stiffness* is the force per metre of width that
would stretch the cloth by its own length, [N/m]; so a thin cloth has no thickness here. The *compliance* is
its inverse, the stretch per force. This module does not know where the cloth is used, nor how strong it is.
"""

import math

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from shellparts.base.errors import ParameterError

__all__ = ["Membrane"]


@frozen
class Membrane:
    """One woven or coated cloth.

    Parameters
    ----------
    warp_N_per_m : float
        Stiffness along the warp, pulled alone [N/m].
    weft_N_per_m : float
        Stiffness along the weft, pulled alone [N/m].
    shear_N_per_m : float
        Stiffness against shear between warp and weft [N/m].
    poisson : float
        Narrowing in the weft per stretch in the warp, pulled along the warp [-].
    mass_kg_per_m2 : float
        Mass of a square metre [kg/m^2].

    Raises
    ------
    ParameterError
        If a stiffness is not positive, the mass is negative, or `poisson` would let the cloth give energy
        away.

    Examples
    --------
    >>> Membrane(150e3, 120e3, 8e3, 0.2, 0.2).weft_N_per_m
    120000.0
    """

    warp_N_per_m: float = field(converter=float)
    weft_N_per_m: float = field(converter=float)
    shear_N_per_m: float = field(converter=float)
    poisson: float = field(converter=float, default=0.0)
    mass_kg_per_m2: float = field(converter=float, default=0.0)

    def __attrs_post_init__(self) -> None:
        """Refuse a cloth that cannot be."""
        for name in ("warp", "weft", "shear"):
            value = getattr(self, f"{name}_N_per_m")
            if not (math.isfinite(value) and value > 0):
                raise ParameterError(
                    f"{name} stiffness of the cloth", f"{value:g} N/m", "positive", "give it in N/m"
                )
        bound = math.sqrt(self.warp_N_per_m / self.weft_N_per_m)
        if not abs(self.poisson) < bound:
            raise ParameterError(
                "Poisson's ratio of the cloth",
                f"{self.poisson:g}",
                f"within ±{bound:.3g}",
                "take 0.2 if unknown",
            )
        if not (math.isfinite(self.mass_kg_per_m2) and self.mass_kg_per_m2 >= 0):
            raise ParameterError(
                "mass of the cloth", f"{self.mass_kg_per_m2:g} kg/m2", "zero or more", "give it in kg/m2"
            )

    @classmethod
    def isotropic(cls, stiffness_N_per_m: float, poisson: float, mass_kg_per_m2: float = 0.0) -> "Membrane":
        """Make a cloth that is alike in all directions, such as film.

        Parameters
        ----------
        stiffness_N_per_m : float
            Stiffness in any direction: Young's modulus times thickness [N/m].
        poisson : float
            Narrowing per stretch [-].
        mass_kg_per_m2 : float
            Mass of a square metre [kg/m^2].

        Returns
        -------
        Membrane
            Shear stiffness ``stiffness / (2 (1 + poisson))``.
        """
        if not poisson > -1:
            raise ParameterError(
                "Poisson's ratio of the cloth", f"{poisson:g}", "above -1", "take 0.3 if unknown"
            )
        shear = stiffness_N_per_m / (2 * (1 + poisson))
        return cls(stiffness_N_per_m, stiffness_N_per_m, shear, poisson, mass_kg_per_m2)

    @property
    def compliance(self) -> NDArray[np.float64]:
        """Stretch per force ``(C11, C22, C12, C66)`` in warp-weft axes [m/N]."""
        return np.array(
            [
                1 / self.warp_N_per_m,
                1 / self.weft_N_per_m,
                -self.poisson / self.warp_N_per_m,
                1 / self.shear_N_per_m,
            ]
        )
