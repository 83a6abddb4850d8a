"""What adults do, told for as many as there are: one, two, more.

Glossary: *adults* are those who look after the room and have practised, or those of the crowd if they are more. Where
nobody is named one is needed all the same.
"""

from shellparts.loads.results import Verdict
from shellparts.parameters.site import AgeGroup

__all__ = ["adults_of", "bags_laid_by", "drill_known", "fan_stopped", "practised", "putting_up"]

_GROWN = (AgeGroup.WOMEN_30_39, AgeGroup.MEN_30_39)
#: For one, for two, for more.
_LAY = ("One adult lays", "Two adults lay", "Two adults lay")
_COME = ("comes out", "come out", "come out")
_FAN_STOPPED = (
    "The rest stay low and hold the cloth up off the smallest first",
    "The rest stay low, the other adult holds the cloth up off them, over the smallest first",
    "The rest stay low, the other adults hold the cloth up off them, over the smallest first",
)
_PRACTISE = ("adult practises", "adults practise", "adults practise")
_STAY = (
    "and stays at the doorway",
    "one stays at the doorway, the other inside",
    "one stays at the doorway, the others inside",
)
_KNOWN = (
    "The adult at the doorway knows the drill",
    "The adult at the doorway and the one inside know the drill",
    "The adult at the doorway and those inside know the drill",
)


def _for(words: tuple[str, str, str], count: int) -> str:
    return words[min(max(count, 1), 3) - 1]


def adults_of(verdict: Verdict) -> int:
    """How many adults there are: those who have practised, or those of a crowd that was named, if they are more."""
    people = verdict.people
    crowd = sum(part.count for part in people.crowd if part.group in _GROWN) if people.said else 0
    return max(verdict.drawn.site.attendants, crowd)


def bags_laid_by(adults: int, where: str) -> str:
    """Who lays the bags inside, and where.

    Examples
    --------
    >>> bags_laid_by(1, "on the flap")
    'One adult lays them inside, on the flap, and comes out'
    """
    return f"{_for(_LAY, adults)} them inside, {where}, and {_for(_COME, adults)}"


def putting_up(adults: int, bags: bool) -> str:
    """How many it takes to put the room up, and what those do who lay the bags if the fan stops meanwhile.

    Examples
    --------
    >>> putting_up(2, bags=False)
    "Two people at least: one at the fan's switch, one at the clips."
    """
    if not bags:
        return "Two people at least: one at the fan's switch, one at the clips."
    many, lay = ("Five", "one lays the bags") if adults == 1 else ("Six", "two lay the bags")
    return (
        f"{many} people at least, while it goes up: one at the fan's switch, one at the clips, {lay}, two and all "
        "others hold the foot down from outside, spread round it. If the fan stops meanwhile whoever is inside holds "
        "the cloth up overhead and walks out, and "
        "whoever is at the clips holds the doorway up. Where each bag lies is drawn in arrangement.pdf; those in the "
        "tunnel are long and narrow."
    )


def fan_stopped(adults: int) -> str:
    """What people do inside while one adult holds the doorway up."""
    return _for(_FAN_STOPPED, adults)


def practised(adults: int, now: int) -> str:
    """That so many practise, and where they stay."""
    what = f"{adults} {_for(_PRACTISE, adults)} what to do when the fan stops (now {now})"
    return f"{what}{' ' if adults == 1 else ': '}{_for(_STAY, adults)}."


def drill_known(adults: int) -> str:
    """Who must know the drill before the fan is switched on.

    Examples
    --------
    >>> drill_known(1)
    'The adult at the doorway knows the drill'
    """
    return _for(_KNOWN, adults)
