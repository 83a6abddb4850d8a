"""Orchard Pavilion: a cider festival's seed-swap hall, in feet and inches.

A pointed-arch profile, 10 panels, a gabled doorway centred on a seam, a rectangular sleeve for a square box
fan.
"""

from shellparts import (
    Design,
    Doorway,
    Flap,
    Marking,
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
panels = 10  # number of panels, 5 to 64
across = "16 ft"  # diameter at the floor, 3 ft 4 in to 65 ft
measured = "seams"  # where across is taken: over the "seams", or over the "middles" of opposite panels
height = "12 ft 6 in"  # height of the point that the panels aim at, 2 ft 8 in to 32 ft
wall = "2 ft 6 in"  # height of the upright wall below the arch, 0 for none
profile = "pointed"  # or "straight", or "dome"
stop_short = "5 in"  # that the panels stop short of the point, along the panel
sizes = "as sewn"  # or "under air": corrects the pattern for the form that the air gives it

# Doorway
door_width = "3 ft 4 in"  # clear width, 1 ft 4 in to 13 ft
door_height = "6 ft"  # clear height at the peak, 2 ft to 13 ft
door_head = "gabled"  # or "arched", or "flat"; both without the rise
door_rise = "14 in"  # of the gable above the doorway's upright sides
door_on = "seam"  # its middle stands on a "panel" or on a "seam"
tunnel_length = "5 ft"  # from the wall's corner to the curtain, 1 ft to 19 ft
tunnel_flap = "8 in"  # that the tunnel's own flaps reach inward on the floor, 0 for none
vent = "2 ft"  # left unsewn at the foot of each side of the curtain

# Fan: a square box fan, slipped into a rectangular sleeve
sleeve_width = "22 in"  # sideways
sleeve_depth = "22 in"  # upward
sleeve_length = "4 ft"  # from the panel to the fan
sleeve_height = "16 in"  # of the sleeve's middle above the floor, at the panel
sleeve_panel = 5  # counted counter-clockwise from the doorway, seen from above

# A square box fan, invented for this example: read yours from its label, or better from its maker's curve
fan_flow = "2300 cfm"  # free-air flow at full speed
fan_outlet = 500  # mm across its outlet

# Ground flap
flap_depth = "14 in"  # inward from the foot of the wall
flap_sewn_on = True  # True: cut on its own and sewn to the wall; False: one with the wall, over a fold

# Cloth: hemmed sheets, their size and price invented for this example
sheet_label_length = "20 ft"  # length on the label: they are sold by the size before hemming
sheet_label_width = "16 ft"  # width on the label
sheet_length = "19 ft 6 in"  # length measured on the bench
sheet_width = "15 ft 6 in"  # width measured on the bench
sheet_hem = "1 1/4 in"  # to cut away all around
sheet_price = 55.0  # of one sheet, in your money

# Who comes, and where it stands
children = 6  # at a time, up to 10 years old
adults = 8  # at a time, with those who look after the room
attendants = 2  # adults who have practised what to do when the fan stops
ballast = 0  # kg at hand to lay on the base; the page says how much it takes
floor = "hall floor"  # or "carpet", "ground", "grass"
hall = 1500  # m3 of air in the hall, a barn: length x width x height
temperature = 20  # of the air that the fan draws, in degrees C
humidity = 0.5  # of that air, as a share of saturation
altitude = 0  # m above the sea

# Workshop
tape = "imperial"  # or "metric": the tape measure at hand

with plain_errors(__name__):  # what is refused here is told in one message
    design = Design(
        name="orchard_pavilion",
        title="a cider festival's seed-swap hall",
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
            rise=door_rise,
            centred_on=door_on,
            length=tunnel_length,
            flap=tunnel_flap,
            vent=vent,
        ),
        sleeve=Sleeve(
            width=sleeve_width,
            depth=sleeve_depth,
            length=sleeve_length,
            height=sleeve_height,
            panel=sleeve_panel,
        ),
        flap=Flap(depth=flap_depth, sewn_on=flap_sewn_on),
        marking=Marking(tape=tape),
    )
    fan = fan_from_label("example box fan", fan_flow, fan_outlet)
    cloth = cloth_sheet(
        "example sheet 16 x 20 ft",
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
