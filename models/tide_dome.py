"""Tide Dome: a coast museum's whale-song exhibit that tours schools.

A dome on a low upright wall, 18 panels of roll cloth, a rectangular doorway over three panels.
"""

from shellparts import (
    Design,
    Doorway,
    Flap,
    Shell,
    Site,
    Sleeve,
    build,
    cloth_roll,
    crowd_of,
    fan_from_label,
    main_for,
    plain_errors,
)

# Shell
panels = 18  # number of panels, 5 to 64
across = "5.6 m"  # diameter at the floor, 1 m to 20 m
measured = "middles"  # where across is taken: over the "seams", or over the "middles" of opposite panels
height = "3.3 m"  # height of the dome's top, 0.8 m to 10 m
wall = "800 mm"  # height of the upright wall below the dome, 0 for none
profile = "dome"  # or "straight", or "pointed"
stop_short = 150  # mm that the panels stop short of the top, along the panel
sizes = "as sewn"  # or "under air": corrects the pattern for the form that the air gives it

# Doorway
door_width = "1.6 m"  # clear width, 0.4 m to 4 m
door_height = "1.9 m"  # clear height, 0.6 m to 4 m
door_head = "flat"  # or "arched", or "gabled"
door_on = "panel"  # its middle stands on a "panel" or on a "seam"
tunnel_length = "1.6 m"  # from the wall to the curtain, 0.3 m to 6 m
tunnel_flap = 200  # mm that the tunnel's own flaps reach inward on the floor, 0 for none
vent = "700 mm"  # left unsewn at the foot of each side of the curtain

# Fan
sleeve_diameter = "500 mm"  # of the sleeve
sleeve_length = "1.5 m"  # from the panel to the fan
sleeve_height = "450 mm"  # of the sleeve's middle above the floor, at the panel
sleeve_panel = 10  # counted counter-clockwise from the doorway, seen from above

# A round fan, invented for this example: read yours from its label, or better from its maker's curve
fan_flow = "1.3 m3/s"  # free-air flow at full speed
fan_outlet = 480  # mm across its outlet

# Ground flap
flap_depth = "400 mm"  # inward from the foot of the wall

# Cloth off a roll, its width and price invented for this example
roll_width = "3 m"  # selvage to selvage
roll_price = 9.0  # of one metre of length, in your money

# Who comes, and where it stands
children = 25  # at a time, up to 10 years old
adults = 3  # at a time, with those who look after the room
attendants = 3  # adults who have practised what to do when the fan stops
ballast = 0  # kg at hand to lay on the base; the page says how much it takes
floor = "hall floor"  # or "carpet", "ground", "grass"
hall = 2500  # m3 of air in the hall, a sports hall: length x width x height
temperature = 20  # of the air that the fan draws, in degrees C
humidity = 0.5  # of that air, as a share of saturation
altitude = 0  # m above the sea

with plain_errors(__name__):  # what is refused here is told in one message
    design = Design(
        name="tide_dome",
        title="a coast museum's whale-song exhibit",
        shell=Shell(
            panels=panels,
            across=across,
            measured=measured,
            height=height,
            wall=wall,
            profile=profile,
            stop_short=stop_short,
        ),
        doorway=Doorway(
            width=door_width,
            height=door_height,
            head=door_head,
            centred_on=door_on,
            length=tunnel_length,
            flap=tunnel_flap,
            vent=vent,
        ),
        sleeve=Sleeve(
            diameter=sleeve_diameter, length=sleeve_length, height=sleeve_height, panel=sleeve_panel
        ),
        flap=Flap(depth=flap_depth),
    )
    fan = fan_from_label("example round fan", fan_flow, fan_outlet)
    cloth = cloth_roll("example roll 3 m", width=roll_width, price=roll_price)
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

if show := globals().get("show_object"):  # a viewer is running this script
    for name, shape, colour in [*room.shapes(), *room.inflated_shapes(beside=True)]:
        show(shape, name=name, options={"color": colour})

if __name__ == "__main__":
    main_for(room)
