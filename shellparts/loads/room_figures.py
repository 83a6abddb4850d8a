"""What the loads must be told of a room: its figures.

Glossary: the *profile* is the outline of the room from its base to its top, as radius and height; the
radius runs to the seams, where panels meet; the *flap* is cloth that lies in along the floor; the *exit* is
the narrowest place on the way out; the *vent* is a seam left open on purpose, a slit held by clips. Nothing
here is worked out from a design: whoever builds the room fills these in from its body. A room is taken as
round about its axis; tunnel, sleeve and bulging panels are known by their areas only.
"""

from typing import Any

import attrs
import numpy as np
from attrs import field, frozen

from shellparts.base.classes import brief
from shellparts.base.errors import ParameterError
from shellparts.base.fields import number_field, parts_field
from shellparts.parameters.opening import WayOut

__all__ = ["RoomFigures"]

_MEASURE = "measure the body again"


def _profile(values: Any) -> np.ndarray:
    """Float copy that cannot be written to."""
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array


def _profile_field() -> Any:
    return field(converter=_profile, eq=attrs.cmp_using(eq=np.array_equal))


@brief
@frozen
class RoomFigures:
    """Figures of one room, as sewn.

    Parameters
    ----------
    floor_area_m2 : float
        Area inside the base line [m²].
    surface_area_m2 : float
        Area of the shell's cloth, flap and tunnel left out [m²].
    envelope_volume_m3 : float
        Volume of air inside [m³].
    base_diameter_mm : float
        Diameter of the base through the seams [mm].
    height_mm : float
        Height of the top [mm].
    profile_radius_mm : ndarray, shape (n,)
        Radius at the seams from base to top [mm]; the last is 0.
    profile_height_mm : ndarray, shape (n,)
        Height of each point [mm], rising from 0. Repeat a point where the profile has a corner.
    panel_count : int
        Panels round the room [-].
    seam_length_m : float
        Length of all the seams [m].
    base_perimeter_m : float
        Length of the base line [m].
    cloth_mass_kg : float
        Mass of all the cloth, flap and allowances included, by formula: what the air has to hold up [kg].
    exit_width_mm : float
        Clear width of the way out [mm].
    exit_height_mm : float
        Clear height of the way out [mm].
    exit_count : int
        Ways out [-].
    tunnel_length_mm : float
        Length of the doorway tunnel [mm]; 0 for none.
    tunnel_flap_mm : float
        How far the flaps on the tunnel's floor lie in [mm].
    flap_area_m2 : float
        Area of the flap on the floor inside [m²].
    flap_depth_mm : float
        How far the flap lies in [mm].
    vent_longest_mm : float
        Longest opening of the vent, both sides of the curtain together [mm].
    open_area_m2 : float
        Openings that always stay open [m²].
    shell_floor_m2 : float or None
        Floor inside the shell, on which people may be [m²]: the tunnel, which is the way out, left out; None
        where it is the whole floor.
    vent_count : int
        Doorways with a vent, which share the opening alike [-].
    ways : tuple of WayOut
        Each way out by itself; may be left out, see `ways_out`.

    Raises
    ------
    ParameterError
        If a figure cannot be.
    """

    floor_area_m2: float = number_field("floor area m2", "m²", 0.1, 1e4, _MEASURE)
    surface_area_m2: float = number_field("surface area m2", "m²", 0.1, 1e5, _MEASURE)
    envelope_volume_m3: float = number_field("envelope volume m3", "m³", 0.1, 1e6, _MEASURE)
    base_diameter_mm: float = number_field("base diameter mm", "mm", 100.0, 1e5, _MEASURE)
    height_mm: float = number_field("height mm", "mm", 100.0, 1e5, _MEASURE)
    profile_radius_mm: np.ndarray = _profile_field()
    profile_height_mm: np.ndarray = _profile_field()
    panel_count: int = number_field("panel count", "panels", 3, 1000, _MEASURE, whole=True)
    seam_length_m: float = number_field("seam length m", "m", 0.0, 1e6, _MEASURE)
    base_perimeter_m: float = number_field("base perimeter m", "m", 0.1, 1e4, _MEASURE)
    cloth_mass_kg: float = number_field(
        "cloth mass kg", "kg", 1e-3, 1e5, "weigh the cloth or multiply area by mass per area"
    )
    exit_width_mm: float = number_field("exit width mm", "mm", 1.0, 1e4, "a room needs a way out")
    exit_height_mm: float = number_field("exit height mm", "mm", 1.0, 1e4, "a room needs a way out")
    exit_count: int = number_field(
        "exit count", "ways out", 1, 100, "a room needs a way out", whole=True, default=1
    )
    tunnel_length_mm: float = number_field("tunnel length mm", "mm", 0.0, 1e5, _MEASURE, default=0.0)
    tunnel_flap_mm: float = number_field("tunnel flap mm", "mm", 0.0, 1e4, _MEASURE, default=0.0)
    flap_area_m2: float = number_field("flap area m2", "m²", 0.0, 1e4, _MEASURE, default=0.0)
    flap_depth_mm: float = number_field("flap depth mm", "mm", 0.0, 1e4, _MEASURE, default=0.0)
    vent_longest_mm: float = number_field("vent longest mm", "mm", 0.0, 1e5, _MEASURE, default=0.0)
    open_area_m2: float = number_field("open area m2", "m²", 0.0, 1e3, _MEASURE, default=0.0)
    shell_floor_m2: float | None = number_field("shell floor m2", "m²", 0.1, 1e4, _MEASURE, optional=True)
    vent_count: int = number_field("vent count", "doorways", 1, 100, "count them", whole=True, default=1)
    ways: tuple[WayOut, ...] = parts_field("ways out", WayOut, "write WayOut(…) for each", default=())

    def __attrs_post_init__(self) -> None:
        if self.shell_floor_m2 is not None and self.shell_floor_m2 > self.floor_area_m2 * (1.0 + 1e-9):
            raise ParameterError(
                "floor of the shell",
                f"{self.shell_floor_m2:g} m²",
                f"at most the whole floor, {self.floor_area_m2:g} m²",
                _MEASURE,
            )
        radius, height = self.profile_radius_mm, self.profile_height_mm
        if radius.ndim != 1 or radius.shape != height.shape or radius.size < 2:
            raise ParameterError(
                "profile", f"{radius.shape} radii, {height.shape} heights", "two or more pairs", _MEASURE
            )
        if not (np.isfinite(radius).all() and np.isfinite(height).all()) or radius.min() < 0.0:
            raise ParameterError(
                "profile", "partly negative or not a number", "made of finite radii from 0 mm up", _MEASURE
            )
        if height[0] != 0.0 or (np.diff(height) < 0.0).any():
            raise ParameterError(
                "profile", f"starting at {height[0]:g} mm or falling", "rising from 0 mm", "list it upwards"
            )
        if radius[-1] != 0.0 or radius[0] <= 0.0 or (radius[1:-1] == 0.0).any():
            raise ParameterError(
                "profile",
                f"{radius[-1]:g} mm wide at its top",
                "0 mm in radius at its top and there alone",
                "close the top",
            )
        self._agrees("base diameter", self.base_diameter_mm, 2.0 * float(radius[0]))
        self._agrees("height", self.height_mm, float(height[-1]))
        if self.flap_area_m2 >= self.floor_area_m2:
            raise ParameterError(
                "flap area",
                f"{self.flap_area_m2:g} m²",
                f"less than the floor, {self.floor_area_m2:g} m²",
                "cut it shallower",
            )

    @property
    def ways_out(self) -> tuple[WayOut, ...]:
        """Each way out; where they are not given, as many of the narrowest one's sizes."""
        one = WayOut(self.exit_width_mm, self.exit_height_mm, self.tunnel_length_mm, 0.0)
        return self.ways or (one,) * self.exit_count

    @property
    def people_floor_m2(self) -> float:
        """Floor on which people may be [m²]: never the tunnel, which is their way out."""
        return self.floor_area_m2 if self.shell_floor_m2 is None else self.shell_floor_m2

    @staticmethod
    def _agrees(what: str, figure_mm: float, profile_mm: float) -> None:
        """Refuse a figure that the profile contradicts by more than a hundredth."""
        if abs(figure_mm - profile_mm) > 0.01 * profile_mm:
            raise ParameterError(what, f"{figure_mm:g} mm", f"the profile's, {profile_mm:g} mm", _MEASURE)
