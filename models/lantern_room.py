"""Lantern Room: a travelling branch library's story room for 20 children.

Straight-sided, 12 panels, an arch-headed doorway tunnel, a sleeve for a round fan. Copy this script, change
the numbers, and run it: python models/lantern_room.py
"""

from shellparts import (
    Design,
    Doorway,
    Flap,
    Shell,
    Site,
    Sleeve,
    build,
    cloth_sheet,
    crowd_of,
    fan_from_label,
    main_for,
    plain_errors,
)

if __name__ == "__main__":
    plain_errors()  # a number that is refused below is told in one message

# Shell
panels = 12  # number of panels, 5 to 64
across = "4.8 m"  # diameter at the floor over the seams, 1 m to 20 m
height = "3.6 m"  # height of the point that the panels aim at, 0.8 m to 10 m
wall = "1.2 m"  # height of the upright wall below the slope, 0 for none
stop_short = 120  # mm that the panels stop short of the point, along the panel
sizes = "as sewn"  # or "under air": corrects the pattern for the form that the air gives it

# Doorway
door_width = "950 mm"  # clear width, 0.4 m to 4 m
door_height = "1.65 m"  # clear height in the middle, 0.6 m to 4 m
tunnel_length = "1.5 m"  # from the wall to the curtain, 0.3 m to 6 m
vent = "600 mm"  # left unsewn at the foot of each side of the curtain

# Fan
fan_girth = "1310 mm"  # measured around the fan with a tape
sleeve_length = "1.2 m"  # from the panel to the fan
sleeve_height = "450 mm"  # of the sleeve's middle above the floor, at the panel
sleeve_panel = 7  # counted counter-clockwise from the doorway, seen from above

# A round fan, invented for this example: read yours from its label, or better from its maker's curve
fan_flow = "2100 cfm"  # free-air flow at full speed
fan_outlet = 400  # mm across its outlet

# Ground flap
flap_depth = "300 mm"  # inward from the foot of the wall

# Cloth: hemmed sheets, their size and price invented for this example
sheet_label = ("5 m", "4 m")  # length and width on the label
sheet_finished = ("4.88 m", "3.88 m")  # measured on the bench; they are sold by the size before hemming
sheet_hem = "30 mm"  # to cut away all around
sheet_price = 28.0  # of one sheet, in your money

# Who comes, and where it stands
children = 20  # at a time, up to 10 years old
adults = 2  # at a time, with those who look after the room
attendants = 2  # adults who have practised what to do when the fan stops
ballast = 0  # kg at hand to lay on the base; the page says how much it takes
floor = "hall floor"  # or "carpet", "ground", "grass"
hall = 900  # m3 of air in the hall, a school's hall: length x width x height
temperature = 20  # of the air that the fan draws, in degrees C
humidity = 0.5  # of that air, as a share of saturation
altitude = 0  # m above the sea

design = Design(
    name="lantern_room",
    title="a travelling branch library's story room",
    shell=Shell(
        panels=panels, across=across, height=height, wall=wall, profile="straight", stop_short=stop_short
    ),
    doorway=Doorway(
        width=door_width,
        height=door_height,
        length=tunnel_length,
        head="arched",
        centred_on="panel",
        vent=vent,
        flap=150,
    ),
    sleeve=Sleeve(girth=fan_girth, length=sleeve_length, height=sleeve_height, slope=10, panel=sleeve_panel),
    flap=Flap(depth=flap_depth),
)
fan = fan_from_label("example round fan", fan_flow, fan_outlet)
cloth = cloth_sheet("example sheet 4 x 5 m", sheet_label, sheet_finished, sheet_hem, price=sheet_price)
site = Site(
    crowd=crowd_of(children=children, adults=adults),
    attendants=attendants,
    ballast_kg=ballast,
    floor=floor,
    hall_volume_m3=hall,
    air_temperature_C=temperature,
    relative_humidity=humidity,
    altitude_m=altitude,
)
room = build(design, fan=fan, cloth=cloth, site=site, sizes=sizes)

if "show_object" in globals():  # a viewer is running this script
    for name, shape, colour in room.shapes():
        show_object(shape, name=name, options={"color": colour})  # noqa: F821

if __name__ == "__main__":
    main_for(room)
