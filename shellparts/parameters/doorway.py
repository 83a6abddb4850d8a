"""The doorway: a tunnel of cloth through the shell, with a curtain at its outer end.

Glossary: the *head* is the tunnel's top; the *eaves* are where its upright sides end and the head begins; the
*leaves* are the two halves of the curtain, which overlap in the middle; the *vent* is the stretch at the foot
of each side of the curtain that is left unsewn and held by clips, so that air can be let out. The
cross-section lies in (sideways, height). This module knows nothing of the shell that the tunnel goes through.
"""

import math

import numpy as np
from attrs import Factory, frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.base.checks import at_least, at_most, require
from shellparts.base.fields import choice_field, length_field
from shellparts.base.units import metric
from shellparts.parameters.choices import CentredOn, Head

__all__ = ["Doorway"]

_LEAST_EAVES_MM = 100.0
#: Seam that the upright sides keep above the vent [mm].
_LEAST_SIDE_SEAM_MM = 50.0


@frozen(kw_only=True)
class Doorway:
    """A doorway tunnel.

    Parameters
    ----------
    width : float or str
        Clear width between the upright sides [mm], 0.4 m to 4 m.
    height : float or str
        Clear height in the middle [mm], 0.6 m to 4 m.
    length : float or str
        From the foot of the shell in the doorway's middle to the outer end [mm], 0.3 m to 6 m.
    head : Head or str
        ``"gabled"``, ``"arched"`` or ``"flat"``.
    rise : float or str
        Height of the head above the eaves [mm]; a third of the width for a gable, less where the doorway is
        low, unless given; half the width for an arch (a half circle, always), nothing for a flat head.
    centred_on : CentredOn or str
        ``"panel"`` or ``"seam"``.
    overlap : float or str
        By how much the two leaves of the curtain overlap [mm]; 250 mm, or what a narrow doorway allows, unless
        given.
    vent : float or str
        Length left unsewn at the foot of each side of the curtain [mm], or 0; 500 mm, or what a low doorway
        allows, unless given.
    flap : float or str
        Depth of the tunnel's own ground flaps, inward from its sides [mm], or 0.

    Raises
    ------
    ParameterError
        If a value is out of its range or the parts of the doorway do not fit each other.
    """

    width: float = length_field("doorway width", 400.0, 4000.0, "choose a width from 0.4 m to 4 m")
    height: float = length_field("doorway height", 600.0, 4000.0, "choose a height from 0.6 m to 4 m")
    length: float = length_field("tunnel length", 300.0, 6000.0, "choose a length from 0.3 m to 6 m")
    head: Head = choice_field("doorway head", Head, default=Head.GABLED)
    rise: float | None = length_field(
        "rise of the doorway head", 0.0, 3000.0, "choose a lower head", optional=True
    )
    centred_on: CentredOn = choice_field("what the doorway is centred on", CentredOn, default=CentredOn.PANEL)
    overlap: float = length_field(
        "curtain overlap",
        50.0,
        2000.0,
        "overlap the leaves by 100 mm to 400 mm",
        default=Factory(lambda door: min(250.0, max(50.0, door.most_overlap)), takes_self=True),
    )
    vent: float = length_field(
        "vent at the curtain",
        0.0,
        3000.0,
        "leave 300 mm to 800 mm unsewn",
        default=Factory(
            lambda door: min(500.0, max(0.0, 10.0 * (door.longest_vent // 10.0))), takes_self=True
        ),
    )
    flap: float = length_field(
        "tunnel flap depth", 0.0, 1000.0, "choose a flap up to 1 m, or 0 for none", default=0.0
    )

    def __attrs_post_init__(self) -> None:
        """Check what depends on more than one value."""
        if self.head is Head.ARCHED:
            require(
                self.rise is None or math.isclose(self.rise, self.width / 2),
                "rise of the doorway head",
                metric(self.rise or 0.0),
                f"half the width, {metric(self.width / 2)}, for an arch",
                "leave the rise out, or choose a gabled head",
            )
        if self.head is Head.FLAT:
            require(
                not self.rise,
                "rise of the doorway head",
                metric(self.rise or 0.0),
                "0 mm for a flat head",
                "leave it out",
            )
        if self.head is Head.GABLED:
            at_least(
                "rise of the doorway head",
                self.head_rise,
                20.0,
                " for a gable",
                "raise it, or choose a flat head",
            )
        at_least(
            "height of the doorway's upright sides",
            self.eaves,
            _LEAST_EAVES_MM,
            f" (the doorway height less the rise of its head, {metric(self.head_rise)})",
            "raise the doorway, or lower its head or narrow it",
        )
        require(
            self.vent == 0.0 or self.vent >= 20.0,
            "vent at the curtain",
            metric(self.vent, 3),
            "0 mm for none, or at least 20 mm",
            "leave the vent out or lengthen it",
        )
        at_most(
            "vent at the curtain",
            self.vent,
            self.longest_vent,
            f", so that the upright side keeps {_LEAST_SIDE_SEAM_MM:g} mm of seam",
            "shorten the vent or raise the doorway",
        )
        at_most(
            "curtain overlap",
            self.overlap,
            self.most_overlap,
            ", the doorway width less 200 mm",
            "overlap less",
        )
        require(
            self.flap == 0.0 or self.flap >= 20.0,
            "tunnel flap depth",
            metric(self.flap, 3),
            "0 mm for none, or at least 20 mm",
            "leave the flap out or make it deeper",
        )
        at_most(
            "tunnel flap depth",
            self.flap,
            self.width / 2 - 20.0,
            ", so that the two flaps do not overlap in the middle",
            "make the flap shallower",
        )

    @property
    def head_rise(self) -> float:
        """Height of the head above the eaves [mm]."""
        if self.head is Head.FLAT:
            return 0.0
        if self.head is Head.ARCHED:
            return self.width / 2
        if self.rise is not None:
            return self.rise
        return min(self.width / 3, self.height - _LEAST_EAVES_MM)

    @property
    def eaves(self) -> float:
        """Height of the upright sides [mm]."""
        return self.height - self.head_rise

    @property
    def longest_vent(self) -> float:
        """Length that the vent may have on either side [mm]."""
        return self.eaves - _LEAST_SIDE_SEAM_MM

    @property
    def most_overlap(self) -> float:
        """By how much the leaves of the curtain may overlap [mm]."""
        return self.width - 200.0

    def head_height(self, sideways: ArrayLike) -> NDArray[np.float64]:
        """Height of the head above the floor at distances from the doorway's middle [mm]."""
        y = np.abs(np.asarray(sideways, float))
        half = self.width / 2
        if self.head is Head.ARCHED:
            return self.eaves + np.sqrt(np.maximum(half**2 - y**2, 0.0))
        return self.eaves + self.head_rise * np.maximum(1.0 - y / half, 0.0)

    def half_width_at(self, height: ArrayLike) -> NDArray[np.float64]:
        """Half of the clear width at heights above the floor, up to the doorway's own [mm]."""
        z = np.asarray(height, float)
        if self.head is Head.FLAT:
            return np.full_like(z, self.width / 2)
        share = np.clip((z - self.eaves) / self.head_rise, 0.0, 1.0)
        return self.width / 2 * (np.sqrt(1.0 - share**2) if self.head is Head.ARCHED else 1.0 - share)

    def outline(self, samples: int) -> NDArray[np.float64]:
        """Points along the section from right foot over head to left foot, shape (n, 2) [mm]."""
        half = self.width / 2
        z = np.linspace(0.0, self.eaves, samples)
        y = half * np.cos(np.linspace(0.0, math.pi, 2 * samples + 1))
        head = np.column_stack([y, self.head_height(y)])
        head[[0, -1], 1] = self.eaves
        right = np.column_stack([np.full_like(z, half), z])
        left = np.column_stack([np.full_like(z, -half), z[::-1]])
        if self.head is Head.FLAT:
            head[1:-1, 1] = self.eaves
        return np.concatenate([right[:-1], head, left[1:]])

    def section(self, samples: int = 24) -> NDArray[np.float64]:
        """Points on the cross-section's sides and head, shape (n, 2): sideways and height [mm]."""
        half = self.width / 2
        y = half * np.cos(np.linspace(0.0, math.pi, samples + 1))
        heads = np.column_stack([y, self.head_height(y)])
        heads[[0, -1], 1] = self.eaves
        z = np.linspace(0.0, self.eaves, samples // 2 + 1)
        sides = [np.column_stack([np.full_like(z, side), z]) for side in (half, -half)]
        return np.concatenate([*sides, heads])
