"""Every limit of the parameters: refused with the value and its unit, the limit, and a remedy."""

import math
import re
from typing import Any

import pytest

from shellparts.base.errors import ParameterError, ended
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Allowances, Design, Flap, Marking, Shell

SHELL: dict[str, Any] = {"panels": 12, "across": 4800, "height": 3600, "wall": 1200}
DOOR: dict[str, Any] = {"width": 950, "height": 1650, "length": 1500}
SLEEVE: dict[str, Any] = {"diameter": 400, "length": 1200, "height": 450, "panel": 7}


def shell(**changes: Any) -> Shell:
    return Shell(**{**SHELL, **changes})


def door(**changes: Any) -> Doorway:
    return Doorway(**{**DOOR, **changes})


def sleeve(**changes: Any) -> Sleeve:
    return Sleeve(**{**SLEEVE, **changes})


def points(*pairs: Any, **changes: Any) -> Shell:
    return Shell(panels=8, profile="points", points=pairs, **changes)


def design(**changes: Any) -> Design:
    return Design(**{"name": "trial", "shell": shell(), **changes})


REFUSED = [
    # sizes outside the trade's range
    (
        lambda: shell(across="40 m"),
        r"size across is 40000 mm; it must be from 1000 mm to 20000 mm.*smaller or larger",
    ),
    (lambda: shell(across=999), r"size across is 999 mm; it must be from 1000 mm"),
    (
        lambda: shell(height="12 m"),
        r"shell height is 12000 mm; it must be from 800 mm to 10000 mm.*0.8 m to 10 m",
    ),
    (lambda: shell(height=-3600), r"shell height is -3600 mm; it must be from 800 mm"),
    (lambda: shell(wall=-1), r"upright wall is -1 mm; it must be from 0 mm to 4000 mm.*or 0 for none"),
    (lambda: shell(wall=1e-200), r"upright wall is 0.000000 mm; it must be 0 mm for none, or at least 1 mm"),
    (
        lambda: shell(wall=3500),
        r"upright wall is 3500 mm; it must be at most 3400 mm, 200 mm below the shell height of 3600 mm",
    ),
    (lambda: shell(panels=4), r"number of panels is 4; it must be from 5 to 64.*choose from 5 to 64 panels"),
    (lambda: shell(panels=65), r"number of panels is 65; it must be from 5 to 64"),
    (lambda: shell(panels=12.5), r"number of panels is 12.5; it must be a whole number"),
    (
        lambda: shell(across=1000, panels=64, height=800, wall=600, stop_short=200),
        r"width of a panel at the floor is 49 mm; it must be at least 150 mm.*fewer",
    ),
    (
        lambda: shell(stop_short=5),
        r"width of a panel at its upper end is \d mm; it must be at least 8 mm.*stop 25 mm short",
    ),
    (
        lambda: shell(across=1000, height=800, wall=600, stop_short=2000),
        r"stop short of the axis is 2000 mm; it must be less than the panel's length of 1123 mm",
    ),
    (
        lambda: shell(stop_short=2001),
        r"stop short of the axis is 2001 mm; it must be from 0 mm to 2000 mm.*50 mm to 300 mm",
    ),
    # not a number
    (
        lambda: shell(across=math.nan),
        r"size across is nan; it must be a finite length.*write millimetres",
    ),
    (lambda: shell(height=math.inf), r"shell height is inf; it must be a finite length"),
    (lambda: shell(panels=math.nan), r"number of panels is nan; it must be a whole number"),
    (lambda: shell(panels=math.inf), r"number of panels is inf; it must be a whole number"),
    (lambda: sleeve(slope=10**400), r"sleeve slope is 10+; it must be a number of degrees"),
    (lambda: sleeve(slope=math.nan), r"sleeve slope is nan; it must be a number of degrees"),
    (
        lambda: points((math.nan, 0), (0, 2000)),
        r"radius of profile point 1 is nan; it must be a finite length",
    ),
    # of the wrong type
    (lambda: shell(across=[4800]), r"size across is \[4800\]; it must be a finite length"),
    (lambda: shell(across=True), r"size across is True; it must be a finite length"),
    (lambda: shell(wall=None), r"upright wall is None; it must be a finite length"),
    (lambda: shell(panels="12"), r"number of panels is '12'; it must be a whole number"),
    (lambda: shell(panels=None), r"number of panels is None; it must be a whole number"),
    (lambda: shell(panels=True), r"number of panels is True; it must be a whole number"),
    (lambda: shell(profile=None), r"profile is None; it must be one of straight, dome, pointed, points"),
    (lambda: shell(profile=["dome"]), r"profile is \['dome'\]; it must be one of"),
    (
        lambda: shell(profile="onion"),
        r"profile is 'onion'; it must be one of straight, dome, pointed, points",
    ),
    (
        lambda: shell(measured="ridges"),
        r"where the size is measured is 'ridges'; it must be one of seams, middles",
    ),
    (
        lambda: Shell(panels=8, profile="points", points=((2000, 0), (0, 2000)), smooth="no"),
        r"smooth is 'no'; it must be True or False",
    ),
    (lambda: Flap(depth=300, sewn_on=0.5), r"sewn_on is 0.5; it must be True or False"),
    (lambda: sleeve(slope="steep"), r"sleeve slope is 'steep'; it must be a number of degrees"),
    (lambda: sleeve(panel=[7]), r"sleeve's panel is \[7\]; it must be a whole number"),
    (lambda: design(shell=None), r"shell is None; it must be a Shell"),
    (lambda: design(doorway=950), r"doorway is 950; it must be a Doorway, or left out"),
    (lambda: design(sleeve="round"), r"sleeve is 'round'; it must be a Sleeve, or left out"),
    (lambda: design(flap=300), r"flap is 300; it must be a Flap, or left out"),
    (lambda: design(allowances=20), r"allowances is 20; it must be an? Allowances"),
    (lambda: design(marking="metric"), r"marking is 'metric'; it must be a Marking"),
    (lambda: design(title=None), r"title of the design is None; it must be one line of text"),
    # units
    (
        lambda: shell(across="4.8 parsnips"),
        r"size across is '4.8 parsnips'; it must be in a unit of length, and 'parsnips'",
    ),
    (lambda: shell(across="4.8 kg"), r"in a unit of length, and 'kg' is none"),
    (
        lambda: shell(across="4.8"),
        r"size across is 4\.8 mm; it must be from 1000 mm to .*did you mean '4\.8 m'\?",
    ),
    (lambda: shell(across=""), r"size across is ''; it must be a finite length"),
    (lambda: shell(across="1/0 m"), r"free of fractions over zero"),
    (lambda: shell(across="1e400 m"), r"size across is '1e400 m'; it must be a finite length"),
    (lambda: shell(across="-4.8 m"), r"size across is -4800 mm; it must be from 1000 mm"),
    # which values go together
    (
        lambda: Shell(panels=12, height=3600),
        r"size across is missing; it must be given.*both the size across and the height",
    ),
    (lambda: Shell(panels=12, across=4800), r"shell height is missing; it must be given"),
    (lambda: shell(smooth=True), r"smooth is True; it must be False unless the profile is given by points"),
    (
        lambda: shell(points=((2000, 0), (0, 2000))),
        r"profile is straight; it must be 'points' when points are given",
    ),
    (
        lambda: shell(profile="dome", height=3601),
        r"rise of the dome above its wall is 2401 mm; it must be at most 2400 mm, half the size across",
    ),
    (
        lambda: shell(profile="pointed", height=3600),
        r"rise of the pointed arch above its wall is 2400 mm; it must be at least 2401 mm, more than half the size across",
    ),
    # profiles of points
    (lambda: points((2000, 0)), r"number of profile points is 1; it must be from 2 to 40"),
    (
        lambda: points((2000, 0), (1500, 900), (0, 2000), smooth=True),
        r"number of profile points is 3; it must be from 4 to 40",
    ),
    (
        lambda: points(*[(2000, 50.0 * i) for i in range(41)]),
        r"number of profile points is 41; it must be from 2 to 40",
    ),
    (
        lambda: points((2000, 10), (0, 2000)),
        r"height of profile point 1 is 10.0 mm; it must be 0 mm.*start at the floor",
    ),
    (
        lambda: points((2000, 0), (1800, 900), (1500, 850), (0, 2000)),
        r"height of profile point 3 is 850.0 mm; it must be at least 1 mm above point 2 at 900.0 mm.*turns back",
    ),
    (
        lambda: points((2000, 0), (1800, 0.5), (0, 2000)),
        r"height of profile point 2 is 0.5 mm; it must be at least 1 mm above",
    ),
    (
        lambda: points((2000, 0), (0, 900), (500, 2000)),
        r"radius of profile point 2 is 0.0 mm; it must be above 0 mm \(only the last",
    ),
    (lambda: points((2000, 0), (-10, 2000)), r"radius of profile point 2 is -10.0 mm; it must be above 0 mm"),
    (lambda: points((499, 0), (400, 2000)), r"size across is 998 mm; it must be from 1000 mm to 20000 mm"),
    (lambda: points((2000, 0), (10001, 900), (0, 2000)), r"size across is 20002 mm; it must be from 1000 mm"),
    (
        lambda: points((2000, 0), (100, 700)),
        r"shell height is 700 mm; it must be from 800 mm to 10000 mm.*last point",
    ),
    (
        lambda: points((2000, 0), (2000, 100), (1900, 101.5), (300, 102.6), (250, 2000), smooth=True),
        r"turns back on itself",
    ),
    (
        lambda: points((2000, 0), (0, 2000), across=4000),
        r"size across is 4000 mm; it must be left out with a profile of points",
    ),
    (
        lambda: points((2000, 0), (0, 2000), wall=900),
        r"upright wall is 900 mm; it must be left out with a profile of points",
    ),
    (
        lambda: Shell(panels=8, profile="points", points=5),
        r"profile points is 5; it must be pairs of radius and height",
    ),
    (
        lambda: Shell(panels=8, profile="points", points=((1, 2, 3),)),
        r"it must be pairs of radius and height",
    ),
    (
        lambda: points(
            (2000, 0),
            (1000, 1000),
            (0, 2000),
            stop_short=math.hypot(1000 * math.cos(math.pi / 8), 1000) - 0.5,
        ),
        r"such that the panels do not end within 1 mm above the bend at 1000.0 mm",
    ),
    # the doorway for itself
    (lambda: door(width=399), r"doorway width is 399 mm; it must be from 400 mm to 4000 mm"),
    (lambda: door(height="5.2 m"), r"doorway height is 5200 mm; it must be from 600 mm to 4000 mm"),
    (lambda: door(length=100), r"tunnel length is 100 mm; it must be from 300 mm to 6000 mm"),
    (
        lambda: door(head="arched", rise=300),
        r"rise of the doorway head is 300 mm; it must be half the width, 475 mm, for an arch",
    ),
    (
        lambda: door(head="flat", rise=300),
        r"rise of the doorway head is 300 mm; it must be 0 mm for a flat head",
    ),
    (lambda: door(rise=5), r"rise of the doorway head is 5 mm; it must be at least 20 mm for a gable"),
    (lambda: door(rise=1600), r"height of the doorway's upright sides is 50 mm; it must be at least 100 mm"),
    (lambda: door(vent=1400), r"vent at the curtain is 1400 mm; it must be at most 1283 mm"),
    (
        lambda: door(vent=1e-9),
        r"vent at the curtain is 0.000 mm; it must be 0 mm for none, or at least 20 mm",
    ),
    (
        lambda: door(overlap=800),
        r"curtain overlap is 800 mm; it must be at most 750 mm, the doorway width less 200 mm",
    ),
    (lambda: door(overlap=40), r"curtain overlap is 40 mm; it must be from 50 mm"),
    (
        lambda: door(flap=460),
        r"tunnel flap depth is 460 mm; it must be at most 455 mm.*two flaps do not overlap",
    ),
    (lambda: door(flap=3), r"tunnel flap depth is 3.000 mm; it must be 0 mm for none, or at least 20 mm"),
    (
        lambda: door(centred_on="window"),
        r"what the doorway is centred on is 'window'; it must be one of panel, seam",
    ),
    # the sleeve for itself
    (lambda: sleeve(diameter=None), r"sleeve size is missing; it must be either a girth, or a diameter"),
    (lambda: sleeve(girth=1310), r"sleeve size is girth and diameter; it must be either a girth"),
    (
        lambda: sleeve(diameter=None, width=400),
        r"sleeve size is width; it must be either a girth, or a diameter, or a width with a depth",
    ),
    (
        lambda: sleeve(diameter=None, girth=299),
        r"girth of the fan is 299 mm; it must be from 300 mm to 5000 mm",
    ),
    (
        lambda: sleeve(diameter=None, girth=300, ease=0),
        r"girth of the fan is 300 mm; it must be at least 274 mm|girth of the fan",
    ),
    (lambda: sleeve(diameter=50), r"sleeve diameter is 50 mm; it must be from 100 mm to 1500 mm"),
    (lambda: sleeve(slope=61), r"sleeve slope is 61 degrees; it must be from -45 to 60 degrees.*gentler"),
    (lambda: sleeve(panel=0), r"sleeve's panel is 0; it must be from 1 to 64"),
    # parts against each other
    (
        lambda: design(doorway=door(height=3900)),
        r"doorway height is 3900 mm; it must be at most \d+ mm, below the shell's top there.*lower the doorway",
    ),
    (
        lambda: design(doorway=door(width=4000, height=3000, rise=100)),
        r"doorway width is 4000 mm; it must be at most about 1160 mm.*narrow or lower",
    ),
    (
        lambda: design(
            shell=shell(
                wall=0,
                profile="points",
                points=((1500, 0), (2500, 1200), (300, 3000)),
                across=None,
                height=None,
            ),
            doorway=door(height=1500, length=1100),
        ),
        r"tunnel length is 1100 mm; it must be at least 1166 mm, to stand clear of the shell",
    ),
    (
        lambda: design(sleeve=sleeve(panel=13)),
        r"sleeve's panel is 13; it must be at most 12, the number of panels",
    ),
    (
        lambda: design(sleeve=sleeve(height=4000)),
        r"sleeve height is 4000 mm; it must be at most 3\d\d\d mm, below the panels' upper end",
    ),
    (
        lambda: design(sleeve=sleeve(height=210)),
        r"sleeve height is 210 mm .*its opening, here from 10 mm to 410 mm, keeps 40 mm",
    ),
    (
        lambda: design(sleeve=sleeve(diameter=1200, height=700)),
        r"sleeve width is 1200 mm; it must be at most 1162 mm, the panel's width there less 40 mm",
    ),
    (
        lambda: design(sleeve=sleeve(length=250, height=2500)),
        r"sleeve length is 250 mm; it must be at least \d+ mm, to stand clear of the panel",
    ),
    (
        lambda: design(sleeve=sleeve(slope=20)),
        r"height of the sleeve's lower side at the fan is -\d+ mm; it must be at least 0 mm, the floor",
    ),
    (
        lambda: design(doorway=door(), sleeve=sleeve(panel=1)),
        r"sleeve's panel is 1; it must be none of the panels that the doorway cuts: 1\.",
    ),
    (
        lambda: design(doorway=door(centred_on="seam"), sleeve=sleeve(panel=12)),
        r"none of the panels that the doorway cuts: 1, 12\.",
    ),
    (
        lambda: design(
            shell=shell(panels=24),
            doorway=door(width=624, rise=200, height=1150),
            sleeve=sleeve(diameter=546, height=700, panel=2),
        ),
        r"sleeve's panel is 2; it must be one whose sleeve keeps 50 mm clear of the tunnel",
    ),
    (
        lambda: design(flap=Flap(depth=1500), shell=shell(across=3000)),
        r"flap depth is 1500 mm; it must be at most 1148 mm, or the flaps would meet in the middle",
    ),
    (lambda: Flap(depth=20), r"flap depth is 20 mm; it must be from 50 mm to 1500 mm"),
    # names and marks
    (
        lambda: design(name="Lantern Room"),
        r"name of the design is 'Lantern Room'; it must be a lower-case letter followed",
    ),
    (lambda: design(name=None), r"name of the design is None; it must be a lower-case letter"),
    (lambda: design(name=7), r"name of the design is 7; it must be"),
    (lambda: design(name="../etc"), r"name of the design is '../etc'"),
    (lambda: design(name="a\n"), r"name of the design is 'a\\n'"),
    (lambda: design(name="a" * 41), r"up to 39 lower-case letters"),
    (lambda: design(model_scale=0), r"scale of the model is 0; it must be from 1 to 200.*choose 10 to 50"),
    (lambda: Allowances(seam=1), r"seam allowance is 1 mm; it must be from 5 mm to 100 mm.*10 mm to 30 mm"),
    (lambda: Allowances(hem=200), r"hem allowance is 200 mm; it must be from 5 mm to 150 mm"),
    (lambda: Allowances(drawcord=0), r"drawcord allowance is 0 mm; it must be from 5 mm to 150 mm"),
    (lambda: Marking(tape="laser"), r"tape measure is 'laser'; it must be one of metric, imperial"),
    (lambda: Marking(spacing=5), r"station spacing is 5 mm; it must be from 20 mm to 1000 mm"),
]


@pytest.mark.parametrize(("make", "message"), REFUSED, ids=[str(i) for i in range(len(REFUSED))])
def test_refused_with_value_limit_and_remedy(make, message):
    with pytest.raises(ParameterError, match=message) as caught:
        make()
    error = caught.value
    assert error.what and error.value and error.limit and error.remedy
    assert (
        str(error)
        == f"{error.what} is {error.value}; it must be {error.limit}. Remedy: {ended(error.remedy)}"
    )
    assert re.search(r"[^.?!…][.?!…]$", str(error))
    assert isinstance(error, ValueError)


@pytest.mark.parametrize(
    "make",
    [
        lambda: shell(across=1000, panels=5, height=1600),
        lambda: shell(across="20 m"),
        lambda: shell(height="10 m"),
        lambda: shell(panels=64, stop_short=400),
        lambda: shell(panels=12.0),
        lambda: shell(profile="dome", height=3600),
        lambda: shell(profile="pointed", height=3601, stop_short=200),
        lambda: shell(wall=3400),
        lambda: door(width=4000, height=4000),
        lambda: door(head="arched", rise=475),
        lambda: design(sleeve=sleeve(diameter=1162, height=700)),
    ],
)
def test_the_limits_themselves_are_allowed(make):
    assert make() is not None


def test_the_widest_sleeve_by_hand():
    """The mid-line's radius is 2400 cos 15 deg; a panel is 2 * 2400 sin 15 deg = 1242.3 wide; 40 mm each side."""
    assert math.floor(2 * 2400 * math.sin(math.radians(15)) - 80) == 1162


def test_tallest_doorway_is_what_the_message_says():
    with pytest.raises(ParameterError, match="doorway height") as caught:
        design(doorway=door(height=3900))
    allowed = int(caught.value.limit.split()[2])
    with pytest.raises(ParameterError, match="doorway height"):
        design(doorway=door(height=allowed + 9, width=400, overlap=60))


def test_every_text_reads_as_the_length_it_says():
    by_text = shell(across="15 ft 9 in", height="3.6 m", wall="120 cm")
    assert (by_text.across, by_text.height, by_text.wall) == pytest.approx((4800.6, 3600.0, 1200.0), abs=1e-9)


def test_designs_are_frozen_and_equal_by_value():
    assert design() == design()
    with pytest.raises(AttributeError):
        design().name = "other"


def test_plain_record_has_a_unit_in_every_length():
    record = design(doorway=door(), sleeve=sleeve(), flap=Flap(depth=300)).parameters()
    assert record["shell"]["across_mm"] == 4800.0
    assert record["sleeve"]["slope_deg"] == 0.0
    assert record["doorway"]["centred_on"] == "panel"
    assert record["flap"] == {"depth_mm": 300.0, "sewn_on": False}


@pytest.mark.parametrize(
    "room",
    [
        {"doorway": {"width": 400, "height": 600, "length": 1500}},
        {"doorway": {"width": 2000, "height": 600, "length": 1500, "head": "gabled"}},
        {"doorway": {"width": 400, "height": 600, "length": 1500, "head": "flat"}},
        {
            "doorway": {"width": 1800, "height": 2000, "length": 1500},
            "sleeve": {"girth": 1200, "length": 1200, "height": 450},
        },
        {"shell": {"panels": 64, "across": "6 m", "height": "10 m", "profile": "pointed"}},
        {"shell": {"panels": 5, "across": "1 m", "height": "0.8 m"}},
    ],
    ids=str,
)
def test_what_is_left_out_never_makes_what_is_given_wrong(room):
    kinds = {"shell": shell, "doorway": Doorway, "sleeve": Sleeve}
    if "shell" in room:
        kinds["shell"] = Shell
    made = design(**{key: kinds[key](**words) for key, words in room.items()})
    if "sleeve" in room:
        assert made.parameters()["sleeve"]["panel"] == 7  # of 12: opposite the doorway


@pytest.mark.parametrize("off", [0.4, 1e-2, 3e-5, 2e-6])
def test_a_value_and_its_limit_read_apart_however_near_they_are(off):
    with pytest.raises(ParameterError) as caught:
        Design(
            name="trial", shell=Shell(panels=12, across=3000, height=3600), flap=Flap(depth=_deepest() + off)
        )
    value, limit = (float(text.split()[i]) for text, i in ((caught.value.value, 0), (caught.value.limit, 2)))
    assert value > limit
    Design(name="trial", shell=Shell(panels=12, across=3000, height=3600), flap=Flap(depth=limit))


def _deepest() -> float:
    return float(Shell(panels=12, across=3000, height=3600).mid.breaks[0, 0]) - 300.0
