"""What the numbers stage must be told: the room's figures, the cloth and the site.

Glossary: the *profile* is the outline of the room from its base to its top, as radius and height; the
radius runs to the seams, where panels meet; the *flap* is cloth that lies in along the floor; the *exit* is
the narrowest place on the way out; the *vent* is a seam left open on purpose, a slit held by clips. Nothing
here is worked out from a design: whoever builds the room fills these in from its body. A room is taken as
round about its axis; tunnel, sleeve and bulging panels are known by their areas only.
"""

from enum import Enum
from typing import Any

import attrs
import numpy as np
from attrs import field, frozen

from shellparts.errors import ParameterError
from shellparts.loads.inputs import counts, kinds, limits, range_limits
from shellparts.loads.ranges import Range, exact
from shellparts.parameters.limits import choice_field, flag_field, number_field

__all__ = ["AgeGroup", "Cloth", "Crowd", "FloorKind", "Posture", "RoomFigures", "Site", "Space"]

_MEASURE = "measure the body again"


def _profile(values: Any) -> np.ndarray:
    """Float copy that cannot be written to."""
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array


_SAME_ARRAY = attrs.cmp_using(eq=np.array_equal)


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
        Mass of all the cloth, flap and allowances included [kg].
    exit_width_mm : float
        Clear width of the way out [mm].
    exit_height_mm : float
        Clear height of the way out [mm].
    exit_count : int
        Ways out [-].
    tunnel_length_mm : float
        Length of the doorway tunnel [mm]; 0 for none.
    flap_area_m2 : float
        Area of the flap on the floor inside [m²].
    flap_depth_mm : float
        How far the flap lies in [mm].
    vent_longest_mm : float
        Longest opening of the vent, both sides of the curtain together [mm].
    shell_floor_m2 : float or None
        Floor inside the shell, on which people may be [m²]: the tunnel, which is the way out, left out; None
        where it is the whole floor.

    Raises
    ------
    ParameterError
        If a figure cannot be.
    """

    floor_area_m2: float = field(validator=limits(0.1, 1e4, "m²", _MEASURE))
    surface_area_m2: float = field(validator=limits(0.1, 1e5, "m²", _MEASURE))
    envelope_volume_m3: float = field(validator=limits(0.1, 1e6, "m³", _MEASURE))
    base_diameter_mm: float = field(validator=limits(100.0, 1e5, "mm", _MEASURE))
    height_mm: float = field(validator=limits(100.0, 1e5, "mm", _MEASURE))
    profile_radius_mm: np.ndarray = field(converter=_profile, eq=_SAME_ARRAY)
    profile_height_mm: np.ndarray = field(converter=_profile, eq=_SAME_ARRAY)
    panel_count: int = field(validator=counts(3, 1000, "panels", _MEASURE))
    seam_length_m: float = field(validator=limits(0.0, 1e6, "m", _MEASURE))
    base_perimeter_m: float = field(validator=limits(0.1, 1e4, "m", _MEASURE))
    cloth_mass_kg: float = field(
        validator=limits(1e-3, 1e5, "kg", "weigh the cloth or multiply area by mass per area")
    )
    exit_width_mm: float = field(validator=limits(1.0, 1e4, "mm", "a room needs a way out"))
    exit_height_mm: float = field(validator=limits(1.0, 1e4, "mm", "a room needs a way out"))
    exit_count: int = field(default=1, validator=counts(1, 100, "ways out", "a room needs a way out"))
    tunnel_length_mm: float = field(default=0.0, validator=limits(0.0, 1e5, "mm", _MEASURE))
    flap_area_m2: float = field(default=0.0, validator=limits(0.0, 1e4, "m²", _MEASURE))
    flap_depth_mm: float = field(default=0.0, validator=limits(0.0, 1e4, "mm", _MEASURE))
    vent_longest_mm: float = field(default=0.0, validator=limits(0.0, 1e5, "mm", _MEASURE))
    shell_floor_m2: float | None = field(
        default=None, validator=attrs.validators.optional(limits(0.1, 1e4, "m²", _MEASURE))
    )

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
    def people_floor_m2(self) -> float:
        """Floor on which people may be [m²]: never the tunnel, which is their way out."""
        return self.floor_area_m2 if self.shell_floor_m2 is None else self.shell_floor_m2

    @staticmethod
    def _agrees(what: str, figure_mm: float, profile_mm: float) -> None:
        """Refuse a figure that the profile contradicts by more than a hundredth."""
        if abs(figure_mm - profile_mm) > 0.01 * profile_mm:
            raise ParameterError(what, f"{figure_mm:g} mm", f"the profile's, {profile_mm:g} mm", _MEASURE)


def _as_range(value: Range | float) -> Range:
    return value if isinstance(value, Range) else exact(value)


#: Mass per area of woven polyethylene sheet [kg/m²]: 187 to 227 g/m² in a relief-shelter specification.
SHELTER_SHEET_KG_M2 = Range(0.187, 0.2, 0.227)
#: Air permeability of a coated sheet [mm/s].
AIRTIGHT = exact(0.0)


_STIFFNESS = limits(100.0, 1e8, "N/m", "100 000 N/m for a woven sheet of 200 g/m²")


@frozen
class Cloth:
    """Cloth and how it is sewn. The defaults are a relief-shelter sheet and a household machine.

    Parameters
    ----------
    name : str
        What the user calls it.
    mass_kg_m2 : Range
        Mass per area [kg/m²]; a plain number is taken as exact.
    strength_N_m : float
        Strip strength of the weaker direction [N/m].
    air_permeability_mm_s : Range
        Air permeability at 100 Pa [mm/s]; 0 for a coated sheet.
    stitches_per_m : float
        Stitches in a metre of one row [1/m].
    stitch_rows : int
        Rows of stitching in a seam [-].
    needle_mm : float
        Diameter of the needle [mm].
    thread_strength_N : float
        Strength of one thread [N].
    flame_retardant : bool
        Whether a certificate says so.
    warp_stiffness_N_m, weft_stiffness_N_m : float
        Force a metre of width that would stretch the cloth by its own length, along and across the roll [N/m].
    shear_stiffness_N_m : float
        Stiffness on the bias [N/m].
    poisson : float
        Narrowing across per stretch along the roll [-].

    Raises
    ------
    ParameterError
        If a value cannot be.

    References
    ----------
    Relief-shelter specification for woven polyethylene sheet: at least 500 N on 5 cm, 187 to 227 g/m².
    The stiffness is an estimate: half of 0.2 kg/m² of polyethylene (950 kg/m³) lies each way, 0.1 mm at
    about 1 GPa; the bias a twentieth. At a fan's pressures the cloth stretches by less than 1 part in 1000.
    """

    name: str = "woven polyethylene sheet"
    mass_kg_m2: Range = field(
        default=SHELTER_SHEET_KG_M2,
        converter=_as_range,
        validator=range_limits(0.01, 5.0, "kg/m²", "200 g/m² is 0.2 kg/m²"),
    )
    strength_N_m: float = field(
        default=10000.0, validator=limits(1.0, 1e6, "N/m", "500 N on 5 cm is 10000 N/m")
    )
    air_permeability_mm_s: Range = field(
        default=AIRTIGHT,
        converter=_as_range,
        validator=range_limits(0.0, 1e4, "mm/s", "0 for a coated sheet"),
    )
    stitches_per_m: float = field(
        default=300.0, validator=limits(10.0, 2000.0, "a metre", "3.3 mm stitches are 300 a metre")
    )
    stitch_rows: int = field(default=1, validator=counts(1, 10, "rows", "count the rows"))
    needle_mm: float = field(default=1.1, validator=limits(0.3, 5.0, "mm", "a size 110 needle is 1.1 mm"))
    thread_strength_N: float = field(
        default=18.0, validator=limits(0.1, 1000.0, "N", "ask the thread's maker")
    )
    flame_retardant: bool = flag_field("flame retardant", default=False)
    warp_stiffness_N_m: float = field(default=100e3, validator=_STIFFNESS)
    weft_stiffness_N_m: float = field(default=100e3, validator=_STIFFNESS)
    shear_stiffness_N_m: float = field(default=5e3, validator=_STIFFNESS)
    poisson: float = field(default=0.2, validator=limits(0.0, 0.9, "(no unit)", "take 0.2 if unknown"))


class FloorKind(Enum):
    """What the room stands on."""

    HALL_FLOOR = "hall floor"
    GROUND = "ground"


class Posture(Enum):
    """How people use the floor."""

    STANDING = "standing"
    ON_FLOOR = "seated on the floor"
    CHAIRS = "chairs"
    TABLES = "tables"
    CLASSROOM = "classroom"


class AgeGroup(Enum):
    """Who breathes; the table of published figures has no others."""

    BOYS_6_10 = "boys 6-10"
    GIRLS_6_10 = "girls 6-10"
    BOYS_11_15 = "boys 11-15"
    WOMEN_30_39 = "women 30-39"
    MEN_30_39 = "men 30-39"


class Space(Enum):
    """What the room is used as, for its fresh air."""

    CLASSROOM = "classroom, ages 5 and over"
    LECTURE_HALL = "lecture hall"
    MULTI_USE_ASSEMBLY = "multi-use assembly"


@frozen
class Crowd:
    """Some people of one group.

    Parameters
    ----------
    group : AgeGroup
        Who they are; for younger children take those of 6 to 10, who breathe more.
    count : int
        How many [-].
    """

    group: AgeGroup = choice_field("group of people", AgeGroup)
    count: int = number_field("number of people", "people", 0, 10000, "count again", whole=True)


def _several(values: Any) -> tuple[Any, ...]:
    """A tuple, also of what is not several."""
    return tuple(values) if isinstance(values, list | tuple) else (values,)


@frozen
class Site:
    """Where, how and by whom the room is used.

    Parameters
    ----------
    indoors : bool
        Whether it stands in a building, out of every wind.
    floor : FloorKind
        What it stands on.
    altitude_m : float
        Height above the sea [m].
    air_temperature_C : float
        Temperature of the air that the fan draws [°C].
    relative_humidity : float
        Share of saturation [-].
    background_co2_ppm : float
        Carbon dioxide in the air that the fan draws [ppm]; more than outdoors when it draws from a hall
        full of people.
    ballast_kg : float
        Ballast laid on the base [kg].
    anchors : int
        Anchors [-].
    posture : Posture
        How people use the floor.
    space : Space
        What the room is used as.
    crowd : tuple of Crowd
        Who will be inside; empty for as many adults as floor and exits take.
    lamps_W : float
        Lamps, projector and other warm things inside [W].
    vent_opening_mm : float or None
        Length of the vent's opening, both sides together [mm]; None to have it chosen.
    clip_spacing_mm : float
        Distance between the clips that hold the vent [mm].
    throw_ratio : float
        Throw ratio of the projector's lens [-].
    picture_bottom_mm : float
        Least height of a projected picture's lower edge over the floor [mm].

    Raises
    ------
    ParameterError
        If a value cannot be.
    """

    indoors: bool = flag_field("indoors", default=True)
    floor: FloorKind = choice_field("floor", FloorKind, default=FloorKind.HALL_FLOOR)
    altitude_m: float = field(
        default=0.0, validator=limits(-500.0, 5000.0, "m", "give the height above the sea")
    )
    air_temperature_C: float = field(
        default=20.0, validator=limits(-40.0, 50.0, "°C", "give the temperature at the fan")
    )
    relative_humidity: float = field(
        default=0.5, validator=limits(0.0, 1.0, "as a share", "write 50 % as 0.5")
    )
    background_co2_ppm: float = field(
        default=420.0, validator=limits(300.0, 5000.0, "ppm", "420 ppm outdoors")
    )
    ballast_kg: float = field(default=0.0, validator=limits(0.0, 1e5, "kg", "give the mass of the ballast"))
    anchors: int = field(default=0, validator=counts(0, 1000, "anchors", "count them"))
    posture: Posture = choice_field("how people use the floor", Posture, default=Posture.ON_FLOOR)
    space: Space = choice_field("use of the room", Space, default=Space.CLASSROOM)
    crowd: tuple[Crowd, ...] = field(
        default=(),
        converter=_several,
        validator=kinds("crowd", Crowd, "write Crowd(group, count) for each group of people", several=True),
    )
    lamps_W: float = field(default=100.0, validator=limits(0.0, 1e5, "W", "add up the plates"))
    vent_opening_mm: float | None = field(
        default=None,
        validator=attrs.validators.optional(limits(0.0, 1e5, "mm", "give the open length of the seam")),
    )
    clip_spacing_mm: float = field(
        default=100.0, validator=limits(5.0, 5000.0, "mm", "measure from clip to clip")
    )
    throw_ratio: float = field(default=1.2, validator=limits(0.1, 10.0, "(no unit)", "see its sheet"))
    picture_bottom_mm: float = field(default=600.0, validator=limits(0.0, 1e4, "mm", "put it over heads"))
