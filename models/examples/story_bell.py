"""Story Bell: a room whose outline goes through points, blown up by a fan whose curve was measured.

Points and fan are invented for this example. Run it: python models/examples/story_bell.py
"""

from shellparts import (
    Design,
    Doorway,
    Flap,
    Shell,
    Site,
    Sleeve,
    build,
    crowd_of,
    fan_from_points,
    main_for,
    plain_errors,
)

panels = 10  # number of panels, 5 to 64
smooth = True  # True: one smooth curve through the points; False: straight stretches
foot = 2200  # mm from the axis to a seam, at the floor
shoulder = "2.1 m"  # from the axis, 1.2 m up
waist = "1.15 m"  # from the axis, 2.4 m up
children = 12  # at a time, up to 10 years old
ballast = 60  # kg at hand to lay on the base

with plain_errors(__name__):  # what is refused here is told in one message
    design = Design(
        name="story_bell",
        title="the branch library's second story room",
        shell=Shell(
            panels=panels,
            profile="points",
            points=[(foot, 0), (shoulder, "1.2 m"), (waist, "2.4 m"), ("0.3 m", "3.1 m")],  # radius, height
            smooth=smooth,
        ),
        doorway=Doorway(width="0.95 m", height="1.7 m", head="arched", length="1.2 m", vent="600 mm"),
        sleeve=Sleeve(girth="1310 mm", length="1 m", height="450 mm"),
        flap=Flap(depth="300 mm"),
    )
    fan = fan_from_points(
        "example fan, measured",
        flow_m3_s=(0.0, 0.3, 0.6, 0.8, 0.95),  # what the fan moved, from shut to free
        pressure_Pa=(55, 48, 33, 17, 0),  # against what pressure
        outlet_diameter_mm=400,
        speeds={"low": 0.7, "high": 1.0},  # of full speed
        read_by_hand=True,  # 15 % of doubt instead of 10 %
    )
    site = Site(
        crowd=crowd_of(children=children, adults=2), attendants=2, ballast_kg=ballast, hall_volume_m3=1200
    )
    room = build(design, fan=fan, site=site)

if show := globals().get("show_object"):  # a viewer is running this script
    for name, shape, colour in room.shapes():
        show(shape, name=name, options={"color": colour})

if __name__ == "__main__":
    main_for(room)
