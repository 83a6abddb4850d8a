"""Five sizes of one room, side by side: floor, people, hours of sewing, and what would fail, by formula."""

from shellparts import Design, Doorway, Flap, Shell, Site, Sleeve, build, crowd_of, fan_from_label

print("across    floor  people   sewing  fails")
for across in ("3.5 m", "4 m", "4.5 m", "5 m", "5.5 m"):
    design = Design(
        name="porch",
        shell=Shell(panels=10, across=across, height="3.2 m", wall="1.2 m"),
        doorway=Doorway(width="0.95 m", height="1.7 m", length="1.2 m", vent="600 mm"),
        sleeve=Sleeve(diameter="450 mm", length="1 m", height="450 mm"),
        flap=Flap(depth="300 mm"),
    )
    site = Site(crowd=crowd_of(children=8, adults=1), ballast_kg=25, hall_volume_m3=800, attendants=2)
    room = build(design, fan_from_label("example fan", "1200 cfm", "14 in"), site=site)
    first, floor = room.as_it_is, room.figures.floor_area_m2
    fails = ", ".join(must.value for must in first.failing) or "nothing"
    print(
        f"{across:<6} {floor:5.1f} m2  {first.people.capacity.by_floor:6.0f} {room.order.hours:5.1f} h  {fails}"
    )
