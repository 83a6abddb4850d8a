"""A reader's script with mistakes planted in it, one a statement. Its last words say who finds it: type checkers
(one that does not know the kernel's types, or an editor's that does), the library when the statement runs, or both. Statements without a mark are right, and nobody may find anything there.
"""

from shellparts import (
    AgeGroup,
    Cloth,
    Crowd,
    Design,
    Doorway,
    Head,
    Shell,
    Site,
    Sleeve,
    Weave,
    Workshop,
    build,
    cloth_roll,
    cloth_sheet,
    fan_from_label,
    laid_flat,
    main_for,
    survey,
    unroll_face,
)

head = Head.ARCHED
shell = Shell(panels=8, across="3 m", height=2400, profile="dome", wall="1.2 m", measured="middles")
door = Doorway(width="0.9 m", height="1.6 m", length="1 m", head=head, vent="600 mm")
design = Design(
    name="porch", shell=shell, doorway=door, sleeve=Sleeve(diameter=400, length="1.2 m", height=450)
)
cloth = cloth_roll("roll", width="2 m", weave=Weave.TWO_WAY, mass_kg_m2=0.2, strength_N_m=9000)
sheets = Cloth([cloth_sheet("sheet", ("4 m", "3 m"), (3900, 2900), hem=20)], flame_retardant=True)
site = Site(posture="chairs", crowd=[Crowd(AgeGroup.BOYS_6_10, 20), Crowd("men 30-39", 2)])
room = build(
    design, fan_from_label("fan", "2100 cfm", "16 in"), cloth, site, Workshop(layout="better", turning="free")
)
tallest: float = shell.height or 0.0

Shell(pannels=3, across="3 m", height=2400)  # types, told
Shell(12)  # types, told
Doorway("arched", width=900, height="1.6 m", length="1 m")  # types, told
Doorway(width=900, height="1.6 m", length="1 m", head="arhced")  # types, told
Shell(panels=8, across=["3 m"], height=2400)  # types, told
Shell(panels=8, across="3 m", height=2400, profile="domed")  # types, told
Shell(across="3 m", height=2400)  # types, told
Shell(panels=3, across="3 m", height=2400)  # told
Doorway(width="0.9 m", height="1.6 m", length="1 kg")  # told
Doorway(width="0.9 m", height=b"1.6 m", length="1 m")  # types, told
Design(name="porch", shell="dome")  # types, told
Design(name="porch", shell=shell, doorway=Sleeve(diameter=400, length=1200, height=450))  # told
Design(name="porch", shell=shell, openings=[door, "window"])  # types, told
Site(crowd=20)  # types, told
Site(posture="sitting")  # types, told
Crowd("grown-ups", 3)  # types, told
Workshop(layout="fast")  # types, told
Workshop(turning=6)  # types, told
Cloth("sheet")  # types, told
cloth_roll("roll", width="2 m", weave="twill")  # types, told
cloth_roll("roll", width="2 m", strenght_N_m=9000)  # types, told
cloth_sheet("sheet", "4 m", "3 m", hem=20)  # types, told
cloth_sheet("sheet", ("4 m", "3 m"), ("3.9 m", "2.9 m"), hem=None)  # types, told
fan_from_label("fan", None, "16 in")  # types, told
fan_from_label("fan", "2100 cfm", outlt="16 in")  # types, told
fan_from_label("fan")  # types, told
panel = room.sheets["pannel_01"]  # told
build("porch")  # types, told
build(design, fan="fan")  # types, told
build(design, sizes="inflated")  # types, told
build(design, cloth=shell)  # types, told
room.with_layout("slow")  # types, told
pieces = room.pattern.piece_list  # types
shell.panels = 9  # types
room.write(3)  # types, told
main_for(design)  # types
laid_flat("part.step")  # editor, told
unroll_face("face")  # told
survey("part.step")  # told
