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

# Shell
panels = 12  # number of panels, 5 to 64
across = "4.8 m"  # diameter at the floor, 1 m to 20 m
measured = "seams"  # where across is taken: over the "seams", or over the "middles" of opposite panels
height = "3.6 m"  # height of the point that the panels aim at, 0.8 m to 10 m
wall = "1.2 m"  # height of the upright wall below the slope, 0 for none
profile = "straight"  # or "dome", or "pointed"
stop_short = 120  # mm that the panels stop short of the point, along the panel
sizes = "as sewn"  # or "under air": corrects the pattern for the form that the air gives it

# Doorway
door_width = "950 mm"  # clear width, 0.4 m to 4 m
door_height = "1.65 m"  # clear height in the middle, 0.6 m to 4 m
door_head = "arched"  # or "gabled", or "flat"
door_on = "panel"  # its middle stands on a "panel" or on a "seam"
tunnel_length = "1.5 m"  # from the wall to the curtain, 0.3 m to 6 m
tunnel_flap = 150  # mm that the tunnel's own flaps reach inward on the floor, 0 for none
vent = "600 mm"  # left unsewn at the foot of each side of the curtain
overlap = "250 mm"  # of the two halves of the curtain

# Fan
fan_girth = "1310 mm"  # measured around the fan with a tape
fan_ease = 40  # mm that the sleeve is wider all around, so that it slips on
sleeve_length = "1.2 m"  # from the panel to the fan
sleeve_height = "450 mm"  # of the sleeve's middle above the floor, at the panel
sleeve_slope = 10  # degrees that it falls towards the fan
sleeve_panel = 7  # counted counter-clockwise from the doorway, seen from above

# A round fan, invented for this example: read yours from its label, or better from its maker's curve
fan_flow = "2100 cfm"  # free-air flow at full speed
fan_outlet = 400  # mm across its outlet

# Ground flap
flap_depth = "300 mm"  # inward from the foot of the wall
flap_sewn_on = False  # True: cut on its own and sewn to the wall; False: one with the wall, over a fold

# Cloth: hemmed sheets, their size and price invented for this example
sheet_label_length = "5 m"  # length on the label: they are sold by the size before hemming
sheet_label_width = "4 m"  # width on the label
sheet_length = "4.88 m"  # length measured on the bench
sheet_width = "3.88 m"  # width measured on the bench
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

with plain_errors(__name__):  # what is refused here is told in one message
    design = Design(
        name="lantern_room",
        title="a travelling branch library's story room",
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
            overlap=overlap,
        ),
        sleeve=Sleeve(
            girth=fan_girth,
            ease=fan_ease,
            length=sleeve_length,
            height=sleeve_height,
            slope=sleeve_slope,
            panel=sleeve_panel,
        ),
        flap=Flap(depth=flap_depth, sewn_on=flap_sewn_on),
    )
    fan = fan_from_label("example round fan", fan_flow, fan_outlet)
    cloth = cloth_sheet(
        "example sheet 4 x 5 m",
        (sheet_label_length, sheet_label_width),
        (sheet_length, sheet_width),
        sheet_hem,
        price=sheet_price,
    )
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
