"""What the numbers stage gives: frozen data, no formulas.

Glossary: the *vent as set* is the opening that the site says, or the one chosen for it; the *speed to use*
is the slowest that brings the room to the middle of its band with an opening that the vent has. What holds or
fails is a `Judgement` or a `Standing`; the words for both are those of `shellparts.report`.
"""

from attrs import frozen

from shellparts.base.classes import brief
from shellparts.base.ranges import Judgement, Range
from shellparts.loads.band import Band, Standing
from shellparts.loads.cloth_forces import MembraneForces
from shellparts.loads.hold_down import Bags
from shellparts.loads.people import Capacity
from shellparts.loads.picture_throw import Picture
from shellparts.loads.room_figures import RoomFigures
from shellparts.loads.vent import VentSetting
from shellparts.loads.wind import WindLimits
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.site import Site

__all__ = [
    "AirResult",
    "Answers",
    "BreathingResult",
    "HoldDownResult",
    "LikelyAnswers",
    "MembraneResult",
    "PeopleResult",
    "SpeedResult",
    "Verdict",
]


@frozen
class SpeedResult:
    """One speed of the fan.

    Parameters
    ----------
    name : str
        As on the switch.
    pressure_Pa, flow_m3_s : Range
        Working point with the vent as set and the base held down [Pa], [m³/s]; people get this flow.
    lifted_flow_m3_s : Range
        Flow with the base free to lift [m³/s]: the same, or more where it lifts, for no room holds more than
        its lift pressure, and air that escapes under the base comes through the fan too.
    lift_ratio : Range
        Pressure over likely lift pressure [-]: above 1 the base lifts.
    standing : Standing
        How the room stands so.
    floating_gap_mm : float
        Likely gap under a lifted base [mm]; 0 when it stays down.
    vent : VentSetting
        Opening that would bring it to the middle of the band.
    open_pressure_Pa : Range
        Pressure with the vent as far open as it goes and the base held down [Pa]; as set, where the site says
        how far.
    shut_pressure_Pa : Range
        Pressure with the vent shut and the base held down [Pa].
    shut_standing : Standing
        How the room stands with the vent shut.
    shut_gap_mm : float
        Likely gap under the lifted base with the vent shut [mm].
    door_pressure_Pa : Range
        Pressure while people go through the doorway [Pa].
    door_holds_up : Judgement
        Whether that still holds the cloth up.
    inflate_s : Range
        Time to fill with the vent shut [s].
    """

    name: str
    pressure_Pa: Range
    flow_m3_s: Range
    lifted_flow_m3_s: Range
    lift_ratio: Range
    standing: Standing
    floating_gap_mm: float
    vent: VentSetting
    open_pressure_Pa: Range
    shut_pressure_Pa: Range
    shut_standing: Standing
    shut_gap_mm: float
    door_pressure_Pa: Range
    door_holds_up: Judgement
    inflate_s: Range


@frozen
class AirResult:
    """The air.

    Parameters
    ----------
    density_kg_m3 : float
        Density of the air [kg/m³].
    band : Band
        Hold-up and lift pressure.
    speeds : tuple of SpeedResult
        Slowest first.
    use_speed : str
        The speed to use.
    vent_opening_mm : float
        Vent as set [mm].
    vent_area_m2 : Range
        Its open area [m²].
    deflate_s : Range
        Time to sink when the fan stops [s].
    """

    density_kg_m3: float
    band: Band
    speeds: tuple[SpeedResult, ...]
    use_speed: str
    vent_opening_mm: float
    vent_area_m2: Range
    deflate_s: Range

    @property
    def used(self) -> SpeedResult:
        """The speed to use."""
        return next(speed for speed in self.speeds if speed.name == self.use_speed)

    @property
    def lifting(self) -> tuple[SpeedResult, ...]:
        """Speeds at which the base surely lifts with the vent as set."""
        return tuple(speed for speed in self.speeds if speed.standing is Standing.LIFTS)

    @property
    def lifting_when_shut(self) -> tuple[SpeedResult, ...]:
        """Speeds at which the base lifts, surely or perhaps, with the vent shut."""
        return tuple(
            speed
            for speed in self.speeds
            if speed.shut_standing is not Standing.STANDS
            and speed.shut_pressure_Pa.high > self.band.lift_Pa.low
        )

    def other(self, step: int) -> str:
        """Name of the next faster (1) or slower (-1) speed than the one to use; empty if there is none."""
        at = [speed.name for speed in self.speeds].index(self.use_speed) + step
        return self.speeds[at].name if 0 <= at < len(self.speeds) else ""


@frozen
class BreathingResult:
    """Fresh air and warmth at one speed.

    Parameters
    ----------
    speed : str
        Name of the speed.
    people : int
        People inside [-].
    air_changes_per_h : Range
        Flow over volume [1/h].
    fresh_air_L_s : Range
        Fresh air that reaches people, all together [L/s].
    fresh_air_L_s_person : Range
        The same for each person [L/s]; infinite with nobody inside.
    required_L_s : float
        Outdoor air needed [L/s].
    enough : Judgement
        Whether the flow reaches that.
    co2_steady_ppm : Range
        CO2 it settles to [ppm].
    en_category : str
        Category of the air by its worst CO2.
    fan_off_ppm_min : float
        Rise of CO2 with the fan stopped [ppm a minute].
    temperature_rise_K : Range
        Steady rise over the fan's air [K].
    """

    speed: str
    people: int
    air_changes_per_h: Range
    fresh_air_L_s: Range
    fresh_air_L_s_person: Range
    required_L_s: float
    enough: Judgement
    co2_steady_ppm: Range
    en_category: str
    fan_off_ppm_min: float
    temperature_rise_K: Range


@frozen
class MembraneResult:
    """Forces in the cloth at the highest pressure that it may meet.

    Parameters
    ----------
    pressure_Pa : float
        That pressure [Pa]: vent shut, fastest speed, base held down.
    forces : MembraneForces
        Along the profile.
    inflated_N_m : float or None
        Largest force in the inflated form at that pressure [N/m]; None if that is not known.
    factor_of_safety : float
        Least of cloth and seam over the larger of both forces [-].
    wrinkled_share : float
        Share of the surface that is wrinkled or slack at the working pressure [-]: of the inflated form where
        there is one, else the share in compression by membrane theory.
    ring_compression : bool
        Whether a corner of the profile is in compression: it gathers.
    """

    pressure_Pa: float
    forces: MembraneForces
    inflated_N_m: float | None
    factor_of_safety: float
    wrinkled_share: float
    ring_compression: bool


@frozen
class HoldDownResult:
    """Holding down.

    Parameters
    ----------
    uplift_N : Range
        Uplift at the working pressure [N].
    weight_N : float
        Weight of cloth and ballast [N].
    ballast_needed_kg : float
        Ballast for the working or the firm pressure, whichever is more [kg]; factor 1.5, flap at its worst.
    bags : Bags
        That ballast in whole bags: what to lay in all.
    ballast_vent_shut_kg : Range
        Ballast for the fastest speed with the vent shut [kg], same factor.
    anchors_at_ceiling : int
        Anchors for the wind's lift and drag at the ceiling [-].
    wind : WindLimits
        Gusts.
    """

    uplift_N: Range
    weight_N: float
    ballast_needed_kg: float
    bags: Bags
    ballast_vent_shut_kg: Range
    anchors_at_ceiling: int
    wind: WindLimits


@frozen
class PeopleResult:
    """People and the way out.

    Parameters
    ----------
    capacity : Capacity
        How many, and why.
    inside : int
        How many are reckoned with [-].
    width_needed_mm : float
        Clear width needed [mm].
    leave_s : Range
        Time to leave [s].
    leave_before_sinking : Judgement
        Whether all are out before the room has sunk.
    pictures : tuple of Picture
        Largest projected picture on one panel, two and three.
    """

    capacity: Capacity
    inside: int
    width_needed_mm: float
    leave_s: Range
    leave_before_sinking: Judgement
    pictures: tuple[Picture, ...]


@frozen
class LikelyAnswers:
    """The four questions by the likely values alone: what "not sure" leans towards."""

    stands_up: bool
    stays_down: bool
    breathable: bool
    out_in_time: bool


@frozen
class Answers:
    """The four questions, answered.

    Parameters
    ----------
    stands_up : Judgement
        Whether the fan is strong enough to hold the cloth up, over all the ranges.
    stays_down : Judgement
        Whether the pressure can be kept below that which lifts the base, and weight holds it with its factor;
        never better than uncertain outdoors.
    breathable : Judgement
        Whether there is fresh air enough for those inside, with the base down.
    out_in_time : Judgement
        Whether everybody is out before the room has sunk, when the fan stops.
    likely : LikelyAnswers
        The same by the likely values.
    """

    stands_up: Judgement
    stays_down: Judgement
    breathable: Judgement
    out_in_time: Judgement
    likely: LikelyAnswers


@brief
@frozen
class Verdict:
    """All the numbers of one room, with what they follow from.

    Parameters
    ----------
    room : RoomFigures
    fan : Fan
    cloth : Cloth
    site : Site
    air : AirResult
        Working points, band, vent, times.
    breathing : tuple of BreathingResult
        Fresh air, CO2 and warmth, one a speed.
    membrane : MembraneResult
        Forces and factor of safety.
    hold_down : HoldDownResult
        Uplift, ballast, wind.
    people : PeopleResult
        Capacity and the way out.
    answers : Answers
        Will it stand up, stay down, stay breathable; is everybody out in time.
    """

    room: RoomFigures
    fan: Fan
    cloth: Cloth
    site: Site
    air: AirResult
    breathing: tuple[BreathingResult, ...]
    membrane: MembraneResult
    hold_down: HoldDownResult
    people: PeopleResult
    answers: Answers

    @property
    def breath(self) -> BreathingResult:
        """Fresh air at the speed to use."""
        return next(one for one in self.breathing if one.speed == self.air.use_speed)
