"""Where a room stands, and who is in it."""

from collections.abc import Sequence
from enum import Enum
from typing import Literal

from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.fields import choice_field, flag_field, number_field, parts_field

__all__ = ["AgeGroup", "Crowd", "FloorKind", "Posture", "Site", "Space"]


class FloorKind(Enum):
    """What the room stands on."""

    HALL_FLOOR = "hall floor"
    GROUND = "ground"


#: The same as text.
FloorKindWord = Literal["hall floor", "ground"]


class Posture(Enum):
    """How people use the floor."""

    STANDING = "standing"
    ON_FLOOR = "seated on the floor"
    CHAIRS = "chairs"
    TABLES = "tables"
    CLASSROOM = "classroom"


#: The same as text.
PostureWord = Literal["standing", "seated on the floor", "chairs", "tables", "classroom"]


class AgeGroup(Enum):
    """Who breathes; the table of published figures has no others."""

    BOYS_6_10 = "boys 6-10"
    GIRLS_6_10 = "girls 6-10"
    BOYS_11_15 = "boys 11-15"
    WOMEN_30_39 = "women 30-39"
    MEN_30_39 = "men 30-39"


#: The same as text.
AgeGroupWord = Literal["boys 6-10", "girls 6-10", "boys 11-15", "women 30-39", "men 30-39"]


class Space(Enum):
    """What the room is used as, for its fresh air."""

    CLASSROOM = "classroom, ages 5 and over"
    LECTURE_HALL = "lecture hall"
    MULTI_USE_ASSEMBLY = "multi-use assembly"


#: The same as text.
SpaceWord = Literal["classroom, ages 5 and over", "lecture hall", "multi-use assembly"]


@frozen_fields()
class Crowd:
    """Some people of one group.

    Parameters
    ----------
    group : AgeGroup
        Who they are; for younger children take those of 6 to 10, who breathe more.
    count : int
        How many [-].
    """

    group: Reads[AgeGroup | AgeGroupWord, AgeGroup] = choice_field("group of people", AgeGroup)
    count: int = number_field("number of people", "people", 0, 10000, "count again", whole=True)


@frozen_fields()
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
    """

    indoors: bool = flag_field("indoors", default=True)
    floor: Reads[FloorKind | FloorKindWord, FloorKind] = choice_field(
        "floor", FloorKind, default=FloorKind.HALL_FLOOR
    )
    altitude_m: float = number_field(
        "altitude m", "m", -500.0, 5000.0, "give the height above the sea", default=0.0
    )
    air_temperature_C: float = number_field(
        "air temperature C", "°C", -40.0, 50.0, "give the temperature at the fan", default=20.0
    )
    relative_humidity: float = number_field(
        "relative humidity", "as a share", 0.0, 1.0, "write 50 % as 0.5", default=0.5
    )
    background_co2_ppm: float = number_field(
        "background co2 ppm", "ppm", 300.0, 5000.0, "420 ppm outdoors", default=420.0
    )
    ballast_kg: float = number_field(
        "ballast kg", "kg", 0.0, 1e5, "give the mass of the ballast", default=0.0
    )
    anchors: int = number_field("anchors", "anchors", 0, 1000, "count them", whole=True, default=0)
    posture: Reads[Posture | PostureWord, Posture] = choice_field(
        "how people use the floor", Posture, default=Posture.ON_FLOOR
    )
    space: Reads[Space | SpaceWord, Space] = choice_field("use of the room", Space, default=Space.CLASSROOM)
    crowd: Reads[Crowd | Sequence[Crowd], tuple[Crowd, ...]] = parts_field(
        "crowd", Crowd, "write Crowd(group, count) for each group of people", default=()
    )
    lamps_W: float = number_field("lamps W", "W", 0.0, 1e5, "add up the plates", default=100.0)
    vent_opening_mm: float | None = number_field(
        "vent opening mm", "mm", 0.0, 1e5, "give the open length of the seam", default=None
    )
    clip_spacing_mm: float = number_field(
        "clip spacing mm", "mm", 5.0, 5000.0, "measure from clip to clip", default=100.0
    )
    throw_ratio: float = number_field("throw ratio", "(no unit)", 0.1, 10.0, "see its sheet", default=1.2)
    picture_bottom_mm: float = number_field(
        "picture bottom mm", "mm", 0.0, 1e4, "put it over heads", default=600.0
    )
