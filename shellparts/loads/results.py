"""What the numbers stage gives: frozen data, no formulas.

Glossary: every range is what 5, 50 and 95 in 100 draws do not exceed; a *chance* is a share of the draws. The
*setting* is the speed and the opening of the vent that are advised, or those that the site says. The words for all of
it are those of `shellparts.report`.
"""

from enum import Enum

from attrs import frozen

from shellparts.base.classes import brief
from shellparts.base.names import Named
from shellparts.base.ranges import Range
from shellparts.loads.air_limits import AirJudgement
from shellparts.loads.ballast import BallastPlan
from shellparts.loads.cloth_forces import MembraneForces
from shellparts.loads.hazards import HazardFound
from shellparts.loads.outdoors import Outdoors
from shellparts.loads.people import Capacity
from shellparts.loads.picture_throw import Picture
from shellparts.loads.readings import ReadingCheck
from shellparts.loads.room_draws import RoomDraws
from shellparts.loads.settings import Setting, Settings
from shellparts.loads.sinking import SinkingVariant
from shellparts.loads.way_out import WayTrouble
from shellparts.parameters.fan import Fan
from shellparts.parameters.site import Crowd

__all__ = [
    "AirInside",
    "AirResult",
    "Decision",
    "EscapeResult",
    "Grade",
    "HoldDownResult",
    "HoldUpSource",
    "MembraneResult",
    "Must",
    "PeopleResult",
    "SpeedResult",
    "Verdict",
]


class Grade(Enum):
    """How well something that must hold does: MET, to be borne with CARE, or NOT."""

    MET = "met"
    CARE = "with care"
    NOT = "not met"


class Must(Enum):
    """What must hold before people go in, gravest first."""

    OUTDOORS = "outdoors"
    AIR = "air"
    SETTING = "setting"
    BALLAST = "ballast"
    WAY_OUT = "way out"
    OUT_IN_TIME = "out in time"
    PEOPLE = "people"
    CLOTH = "cloth"


class Decision(Enum):
    """What follows."""

    GO = "go"
    CHANGES = "go after these changes"
    NOT = "do not use"


class HoldUpSource(Enum):
    """Where the pressure that holds the room up comes from."""

    FORM = "form under air"
    FORMULA = "formula"


@frozen(eq=False)
class AirInside:
    """The air that people breathe at one setting, at the end of the last visit.

    Parameters
    ----------
    judgement : AirJudgement
    co2_ppm, hall_co2_ppm : Range
        CO2 in the room and in its hall, absolute [ppm].
    temperature_C, wet_bulb_C : Range
        In the room [°C].
    fresh_L_s, fresh_L_s_person : Range
        Fresh air that reaches people, all together and each [L/s]; infinite each with nobody inside.
    changes_h : Range
        Flow over the room's volume [1/h].
    required_L_s : float
        Outdoor air asked for [L/s].
    """

    judgement: AirJudgement
    co2_ppm: Range
    hall_co2_ppm: Range
    temperature_C: Range
    wet_bulb_C: Range
    fresh_L_s: Range
    fresh_L_s_person: Range
    changes_h: Range
    required_L_s: float


@frozen(eq=False)
class SpeedResult:
    """One speed of the fan at its best setting.

    Parameters
    ----------
    setting : Setting
    inside : AirInside
    lift_ratio : Range
        Pressure over that at which the base lifts [-].
    shut_pressure_Pa : Range
        Pressure with the vent shut, the base held down [Pa].
    shut_chance_down : float
        Chance that the base stays down so [-].
    door_pressure_Pa : Range
        Pressure while somebody passes the doorway [Pa].
    door_chance_up : float
        Chance that the room is held up meanwhile [-].
    fill_shut_s, fill_set_s : Range
        Time to fill with the vent's clips on, and with the vent as set [s].
    lost_m3, recover_s, people_a_minute, let_in_s : Range
        Air lost by one passage [m³], time to have it back [s], passages that the room bears [1/min], time to let
        everybody in [s].
    """

    setting: Setting
    inside: AirInside
    lift_ratio: Range
    shut_pressure_Pa: Range
    shut_chance_down: float
    door_pressure_Pa: Range
    door_chance_up: float
    fill_shut_s: Range
    fill_set_s: Range
    lost_m3: Range
    recover_s: Range
    people_a_minute: Range
    let_in_s: Range

    @property
    def name(self) -> str:
        """Name of the speed."""
        return self.setting.speed


@frozen(eq=False)
class AirResult:
    """The air.

    Parameters
    ----------
    density_kg_m3 : float
        Density of the air [kg/m³].
    hold_up_Pa, lift_Pa : Range
        Pressure that holds roof and way out up, and at which the base lifts [Pa].
    hold_up_source : HoldUpSource
    roof_Pa, way_out_Pa : Range or None
        The same for the roof and for the way out by themselves [Pa]; None by formula.
    settings : Settings
        Every setting with its chance.
    speeds : tuple of SpeedResult
        Slowest first.
    vent_area_m2 : Range
        Open area of the vent as set [m²].
    strict : bool
        Whether the air was asked to be good; else only to be bearable, because good it cannot be.
    """

    density_kg_m3: float
    hold_up_Pa: Range
    lift_Pa: Range
    hold_up_source: HoldUpSource
    roof_Pa: Range | None
    way_out_Pa: Range | None
    settings: Settings
    speeds: tuple[SpeedResult, ...]
    vent_area_m2: Range
    strict: bool

    @property
    def used(self) -> SpeedResult:
        """The speed to use."""
        return next(one for one in self.speeds if one.name == self.settings.best.speed)

    @property
    def setting(self) -> Setting:
        """The setting to use."""
        return self.settings.best

    def other(self, step: int) -> str:
        """Name of the next faster (1) or slower (-1) speed than the one to use; empty if there is none."""
        at = [speed.name for speed in self.speeds].index(self.setting.speed) + step
        return self.speeds[at].name if 0 <= at < len(self.speeds) else ""


@frozen(eq=False)
class MembraneResult:
    """Forces in the cloth at the highest pressure that it may meet.

    Parameters
    ----------
    pressure_Pa : float
        That pressure [Pa]: vent shut, fastest speed, base held down; 95 in 100 draws stay below it.
    forces : MembraneForces
        Along the profile.
    inflated_N_m : float or None
        Largest force in the form under air at that pressure [N/m]; None if that is not known.
    factor_of_safety : float
        Least of cloth and seam over the larger of both forces [-].
    wrinkled_share : float
        Share of the surface that is wrinkled or slack at the working pressure [-].
    ring_compression : bool
        Whether a corner of the profile is in compression: it gathers.
    """

    pressure_Pa: float
    forces: MembraneForces
    inflated_N_m: float | None
    factor_of_safety: float
    wrinkled_share: float
    ring_compression: bool


@frozen(eq=False)
class HoldDownResult:
    """Holding down.

    Parameters
    ----------
    uplift_N : Range
        Uplift at the working pressure [N].
    weight_N : float
        Weight of cloth and ballast [N].
    plan : BallastPlan
        What the factor of 1.5 asks for at the working pressure, in whole bags.
    shut_kg : Range
        The same at the fastest speed with the vent shut [kg].
    wind : Outdoors or None
        Strongest gust that nothing speaks against; None where not even a breath is withstood.
    at_ceiling : Outdoors
        What the published stop limit asks for.
    """

    uplift_N: Range
    weight_N: float
    plan: BallastPlan
    shut_kg: Range
    wind: Outdoors | None
    at_ceiling: Outdoors


@frozen(eq=False)
class EscapeResult:
    """What happens when the fan stops, with one thing changed or none.

    Parameters
    ----------
    variant : SinkingVariant
    sink_s : Range
        Time to sink with the doorways in use [s].
    sink_shut_s : Range
        The same with nobody in the doorways [s].
    chance : float
        Chance that everybody inside is out in time [-].
    people : int
        Most people who are out in time, 9 times in 10 [-].
    """

    variant: SinkingVariant
    sink_s: Range
    sink_shut_s: Range
    chance: float
    people: int


@frozen(eq=False)
class PeopleResult:
    """People and the way out.

    Parameters
    ----------
    capacity : Capacity
        How many, and why.
    crowd : tuple of Crowd
        Who is reckoned with.
    said : bool
        Whether the site says so; else it is as many adults as floor and exits take.
    width_needed_mm : float
        Clear width needed [mm].
    bearings : tuple of WayTrouble
        What is amiss with the way out, gravest first.
    leave_s : Range
        Time to leave [s].
    escapes : tuple of EscapeResult
        As it is first, then with each thing changed.
    attendants_needed : int
        Adults who know the drill: one at the doorway, and one inside where there are children [-].
    fan_off_ppm_min : float
        Rise of CO2 with the fan stopped [ppm a minute].
    pictures : tuple of Picture
        Largest projected picture on one panel, two and three.
    """

    capacity: Capacity
    crowd: tuple[Crowd, ...]
    said: bool
    width_needed_mm: float
    bearings: tuple[WayTrouble, ...]
    leave_s: Range
    escapes: tuple[EscapeResult, ...]
    attendants_needed: int
    fan_off_ppm_min: float
    pictures: tuple[Picture, ...]

    @property
    def inside(self) -> int:
        """How many people are reckoned with [-]."""
        return sum(part.count for part in self.crowd)

    @property
    def escape(self) -> EscapeResult:
        """As the site is."""
        return self.escapes[0]

    def escape_with(self, variant: SinkingVariant) -> EscapeResult | None:
        """With one thing changed; None where it is not to be had."""
        return next((one for one in self.escapes if one.variant is variant), None)


@brief
@frozen(eq=False)
class Verdict:
    """All the numbers of one room, with what they follow from.

    Parameters
    ----------
    drawn : RoomDraws
        Room, fan, cloth and site in every draw, after readings.
    air : AirResult
        Pressures, settings, vent, times.
    membrane : MembraneResult
    hold_down : HoldDownResult
    people : PeopleResult
    hazards : tuple of HazardFound
        Gravest first.
    readings : tuple of ReadingCheck
        What was read of the real room, and what of it is questioned.
    unread : RoomDraws
        The same before any reading.
    musts : dict of Must to Grade
    """

    drawn: RoomDraws
    air: AirResult
    membrane: MembraneResult
    hold_down: HoldDownResult
    people: PeopleResult
    hazards: tuple[HazardFound, ...]
    readings: tuple[ReadingCheck, ...]
    unread: RoomDraws
    musts: Named[Must, Grade]

    @property
    def fan(self) -> Fan:
        """What blows it up."""
        return self.drawn.fan.fan

    @property
    def holds(self) -> bool:
        """Whether nothing that must hold fails."""
        return Grade.NOT not in self.musts.values()

    @property
    def failing(self) -> tuple[Must, ...]:
        """What fails, gravest first."""
        return tuple(must for must in Must if self.musts[must] is Grade.NOT)
