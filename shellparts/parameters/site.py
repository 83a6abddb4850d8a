"""Where a room stands, and who is in it."""

import math
from collections.abc import Sequence
from enum import Enum
from typing import Literal

from shellparts.base.classes import Reads, frozen_fields
from shellparts.base.fields import choice_field, flag_field, number_field, parts_field

__all__ = ["AgeGroup", "Crowd", "FloorKind", "Posture", "Site", "Space", "crowd_of"]


class FloorKind(Enum):
    """What the room stands on; only the hall floor keeps air from going under the flap."""

    HALL_FLOOR = "hall floor"
    CARPET = "carpet"
    GROUND = "ground"
    GRASS = "grass"


#: The same as text.
FloorKindWord = Literal["hall floor", "carpet", "ground", "grass"]


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

    Raises
    ------
    ParameterError
        If a value is of another kind, or outside its limits.
    """

    group: Reads[AgeGroup | AgeGroupWord, AgeGroup] = choice_field("group of people", AgeGroup)
    count: int = number_field("number of people", "people", 0, 10000, "count again", whole=True)


def crowd_of(children: int = 0, teens: int = 0, adults: int = 0) -> tuple[Crowd, ...]:
    """Make a crowd from plain counts; of two published figures for an age the larger is taken.

    Parameters
    ----------
    children : int
        How many up to 10 years old [-].
    teens : int
        How many from 11 to 15 [-].
    adults : int
        How many older than that [-].

    Returns
    -------
    tuple of Crowd
        For `Site`; empty if there is nobody.

    Raises
    ------
    ParameterError
        If a count is no whole number from 0 up.

    Examples
    --------
    >>> [(part.group.value, part.count) for part in crowd_of(children=20, adults=2)]
    [('boys 6-10', 20), ('men 30-39', 2)]
    """
    groups = (AgeGroup.BOYS_6_10, AgeGroup.BOYS_11_15, AgeGroup.MEN_30_39)
    parts = [Crowd(group, count) for group, count in zip(groups, (children, teens, adults), strict=True)]
    return tuple(part for part in parts if part.count)


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
        Carbon dioxide in the air that the fan draws before the first visit [ppm]; more than outdoors when it
        draws from a hall full of people, who are taken to stay.
    hall_volume_m3 : float
        Air in the hall that the room stands in and its fan draws from [m³]; does not count outdoors.
    hall_air_changes_h : float
        How often an hour the hall's own air is changed for outdoor air [1/h].
    visit_minutes : float
        How long people stay inside [min].
    visits_in_a_row : int
        Visits of the whole crowd one after another [-].
    pause_minutes : float
        From the end of one visit to the start of the next [min], nobody inside and the fan running.
    wheelchairs : bool
        Whether somebody comes in a wheelchair.
    generator : bool
        Whether the fan runs on a generator with an engine.
    attendants : int
        Adults who have practised what to do when the fan stops [-].
    second_fan : bool
        Whether a second fan like the first, on a circuit of its own, takes over when the first one stops.
    sleeve_flap : bool
        Whether a flap inside the sleeve falls shut when the fan stops.
    ballast_kg : float
        Ballast at hand to lay on the base [kg].
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
        If a value is of another kind, or outside its limits.
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
    hall_volume_m3: float = number_field(
        "hall volume m3", "m³", 20.0, 1e7, "multiply its length, width and height", default=1500.0
    )
    hall_air_changes_h: float = number_field(
        "hall air changes h", "an hour", 0.0, 60.0, "1 in a hall with its doors shut", default=1.0
    )
    visit_minutes: float = number_field(
        "visit minutes", "min", 1.0, 1440.0, "from the first going in to the last coming out", default=30.0
    )
    visits_in_a_row: int = number_field(
        "visits in a row", "visits", 1, 1000, "count them", whole=True, default=4
    )
    pause_minutes: float = number_field(
        "pause minutes", "min", 0.0, 1440.0, "from one visit to the next", default=10.0
    )
    wheelchairs: bool = flag_field("wheelchairs", default=False)
    generator: bool = flag_field("generator", default=False)
    attendants: int = number_field(
        "attendants", "adults", 0, 1000, "count those who have practised", whole=True, default=1
    )
    second_fan: bool = flag_field("second fan", default=False)
    sleeve_flap: bool = flag_field("sleeve flap", default=False)
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

    @property
    def air_about_m3(self) -> float:
        """Air that the fan draws from [m³]: the hall's, without limit outdoors."""
        return self.hall_volume_m3 if self.indoors else math.inf
