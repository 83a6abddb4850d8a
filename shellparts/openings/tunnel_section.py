"""The cross-section of a doorway tunnel, in (sideways, height) [mm]: upright sides to the eaves, then the head."""

import math

import numpy as np
from attrs import frozen
from numpy.typing import ArrayLike, NDArray

from shellparts.parameters.choices import Head
from shellparts.parameters.section import Stretch

__all__ = ["TunnelSection"]


@frozen
class TunnelSection:
    """A section as wide as its sides are apart, as high as its head."""

    head: Head
    width: float
    rise: float
    height: float

    @property
    def eaves(self) -> float:
        """Height of the upright sides [mm]."""
        return self.height - self.rise

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Counter-clockwise from the right foot over the head to the left foot."""
        half = self.width / 2
        right, left, peak = (half, self.eaves), (-half, self.eaves), (0.0, self.height)
        if self.head is Head.ARCHED:
            head = [
                Stretch(right, peak, (0.0, self.eaves), 0.0, math.pi / 2),
                Stretch(peak, left, (0.0, self.eaves), math.pi / 2, math.pi),
            ]
        elif self.head is Head.GABLED:
            head = [Stretch(right, peak), Stretch(peak, left)]
        else:
            head = [Stretch(right, left)]
        return (Stretch((half, 0.0), right), *head, Stretch(left, (-half, 0.0)))

    def head_height(self, sideways: ArrayLike) -> NDArray[np.float64]:
        """Height of the head above the floor at distances from the middle [mm]."""
        y = np.abs(np.asarray(sideways, float))
        half = self.width / 2
        if self.head is Head.ARCHED:
            return self.eaves + np.sqrt(np.maximum(half**2 - y**2, 0.0))
        return self.eaves + self.rise * np.maximum(1.0 - y / half, 0.0)

    def half_width_at(self, height: ArrayLike) -> NDArray[np.float64]:
        """Half of the clear width at heights above the floor, up to its own [mm]."""
        z = np.asarray(height, float)
        if self.head is Head.FLAT:
            return np.full_like(z, self.width / 2)
        share = np.clip((z - self.eaves) / self.rise, 0.0, 1.0)
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

    def points(self, samples: int) -> NDArray[np.float64]:
        """Points on the cross-section's sides and head, shape (n, 2): sideways and height [mm]."""
        half = self.width / 2
        y = half * np.cos(np.linspace(0.0, math.pi, samples + 1))
        heads = np.column_stack([y, self.head_height(y)])
        heads[[0, -1], 1] = self.eaves
        z = np.linspace(0.0, self.eaves, samples // 2 + 1)
        sides = [np.column_stack([np.full_like(z, side), z]) for side in (half, -half)]
        return np.concatenate([*sides, heads])
