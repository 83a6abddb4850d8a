"""The four questions: will it stand up, stay down, stay breathable; and is everybody out if the fan stops.

Glossary: *standing up* asks for a fan that is strong enough, *staying down* for a pressure below that which
lifts the base; so a fan that is far too strong stands it up and does not keep it down. Where the site does not
say how far the vent is open, it is set on the day: then what the fan can do at most decides the first question
and how much air the vent can let out at most the second. An answer is *sure* only if it holds over all the
ranges; what it *likely* is follows from the likely values alone.
"""

from shellparts.base.ranges import Judgement, Range, judge_at_least
from shellparts.loads.band import Standing, likely_standing
from shellparts.loads.report import (
    AirReport,
    Answers,
    BreathingReport,
    HoldDownReport,
    LikelyAnswers,
    PeopleReport,
)
from shellparts.parameters.site import Site

__all__ = ["BREEZE_M_S", "NO_BAND_RATIO", "answers_of", "strongest_pressure"]

#: Lift pressure over hold-up pressure below which there is no band to work in [-]: ours.
NO_BAND_RATIO = 1.02
#: Beaufort 2 ends here [m/s], from memory: less is not even a light breeze.
BREEZE_M_S = 3.3


def strongest_pressure(site: Site, air: AirReport) -> Range:
    """Most that the fan can do: its fastest speed with the vent shut, or as set where the site says so.

    Parameters
    ----------
    site : Site
        Says whether the vent is set beforehand.
    air : AirReport
        The air.

    Returns
    -------
    Range
        Pressure with the base held down [Pa].
    """
    fastest = air.speeds[-1]
    return fastest.shut_pressure_Pa if site.vent_opening_mm is None else fastest.pressure_Pa


def _stands_up(site: Site, air: AirReport) -> tuple[Judgement, bool]:
    """Whether the fan is strong enough; a base that floats keeps its lift pressure and no more."""
    strength, lift, hold_up = strongest_pressure(site, air), air.band.lift_Pa, air.band.hold_up_Pa
    kept = Range(
        *(min(strength.low, lift.low), min(strength.likely, lift.likely), min(strength.high, lift.high))
    )
    rounding = 1.0 + 1e-9
    return judge_at_least(kept.scaled(rounding), hold_up), kept.likely * rounding >= hold_up.likely


def _stays_down(site: Site, air: AirReport, hold: HoldDownReport) -> tuple[Judgement, bool]:
    """Whether the pressure can be kept below the lift pressure, and weight holds with its factor."""
    used, band = air.used, air.band
    let_out = used.open_pressure_Pa.high <= band.lift_Pa.low or used.standing is Standing.STANDS
    held = site.ballast_kg >= hold.ballast_needed_kg
    calm = site.indoors or hold.wind.limit_m_s >= BREEZE_M_S
    likely = (
        likely_standing(used.pressure_Pa, band) is not Standing.LIFTS and band.ratio >= NO_BAND_RATIO and calm
    )
    if used.standing is Standing.LIFTS:
        return Judgement.NOT_MET, False
    if site.indoors and ((held and let_out) or site.ballast_kg >= hold.ballast_vent_shut_kg.high):
        return Judgement.FINE, True
    return Judgement.UNCERTAIN, likely


def answers_of(
    site: Site, air: AirReport, breath: BreathingReport, hold: HoldDownReport, people: PeopleReport
) -> Answers:
    """Answer the four questions.

    Parameters
    ----------
    site : Site
        Where and by whom it is used.
    air : AirReport
        The air.
    breath : BreathingReport
        Fresh air at the speed to use, with the base down.
    hold : HoldDownReport
        Holding down.
    people : PeopleReport
        People and the way out.

    Returns
    -------
    Answers
        Each no better than the worst that it rests on.
    """
    up, up_likely = _stands_up(site, air)
    down, down_likely = _stays_down(site, air, hold)
    return Answers(
        up,
        down,
        breath.enough,
        people.leave_before_sinking,
        LikelyAnswers(
            up_likely,
            down_likely,
            breath.fresh_air_L_s.likely >= breath.required_L_s,
            people.leave_s.likely <= air.deflate_s.likely,
        ),
    )
