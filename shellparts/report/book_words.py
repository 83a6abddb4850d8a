"""Words of the build book that no number decides: what tools it takes, how to mark, cut, pack, what to look at when.

Each is a short list for volunteers; what depends on the room is said where its numbers are.
"""

__all__ = [
    "AT_HAND",
    "BEFORE_CUTTING",
    "BEFORE_PEOPLE",
    "BEFORE_SWITCHING_ON",
    "DAY",
    "EVERY_HOUR",
    "FAN_STOPPED",
    "HOW_TO_MARK",
    "MODELS",
    "NO_FLAME",
    "OUTDOORS",
    "PACKING",
    "READINGS_HEAD",
    "SEWING_RULES",
    "TAKING_DOWN",
    "TOOLS",
    "WORDS",
]

TOOLS = (
    "A sewing machine that takes the cloth, with a needle for woven sheet; polyester thread, which sun and damp spare",
    "Scissors or a rotary knife, with a board under the cloth and the other hand behind the blade",
    "Chalk in two colours: one for the cutting line, one for all else. A tape of 8 m, clips or pins, cloth "
    "tape to put beside the needle, a large safety pin that draws cords through their channels",
    "A straight board of 2 m to draw along, a thin batten that bends to a curve, a right angle, weights that hold the "
    "cloth flat",
    "A table in front of the machine as high as its bed, or helpers who carry the cloth",
)
#: What is used on the day and is no part of the room. The bore: common practice, narrower ones hold the water up.
AT_HAND = (
    "Tube: 2 m long, 8 mm wide inside. Scales to fill the bags by, a broom, a guard before the fan's inlet and "
    "outlet, cloth tape to tape the flap flat "
    "where people walk, something to mark sleeve and lead."
)
HOW_TO_MARK = (
    "Lay the cloth with the side up that the layout says of each piece. Weigh down its corners.",
    "Measure from the zero of each page: along the cloth first, then across. Chalk a cross, join the crosses as the "
    "layout shows, straight or in a curve.",
    "Chalk the sewing line, every notch with its ticks, the names of the edges and the number of the piece, on the "
    "side that lies up. A notch is chalked, never cut; its ticks tell it from the others. Before you lift the piece "
    "carry each notch, its ticks and each corner of the sewing line out to the cutting edge and over it, onto the "
    "other side: chalk is hidden where outer sides are laid together.",
    "Before you cut the first piece of each kind, measure one edge and both lengths across against its page.",
    "Cut outside the cutting line, never inside. Cut openings only in the step that says so.",
    "Chalk its number on each panel at once: equal panels are told apart by nothing else.",
    "Keep what is left over: patches and tabs are cut from it.",
)
SEWING_RULES = (
    "In the sketches the first edge is drawn wide and unbroken, the second wide and dashed; both pieces lie outer "
    "side up, and the two edges face each other. Lay the outer sides together as the step says, notch on notch: fold "
    "the second piece over onto the first, as a book is shut. In a lap slide the one that is on top over the other.",
    "A row starts at the end of the edge where the dot is and runs to the other. Cutting edge: begin or stop beyond "
    "the dot, where the cloth ends. Snip: begin or stop there. Finished edge, turned-in end: begin or stop on the "
    "fold. Corner of the sewing lines: stop where the two blue lines meet.",
    "Where the chalk of the sewing line is hidden, sew as far from the cutting edge as the piece's table allows cloth "
    "outside the line: put a strip of tape beside the needle there. Begin and stop at the corners carried over.",
    "Pin or clip from notch to notch, and corner to corner where an edge has none. Where an edge comes out longer, "
    "ease it in between two notches; never cut it off. Count the pins, and count them out again: people lie down on "
    "this cloth.",
    "Sew a hand's breadth on scraps first: tension, needle, a stitch of 3 to 4 mm. A second row that holds allowances "
    "down runs half the foot inside their cutting edges.",
    "One sews, the others carry: cloth must not pull at the needle. Whoever carries keeps fingers away from the foot, "
    "and says so before letting go.",
    "Snip with the machine switched off, no nearer to the sewing line than the step says.",
)
#: By the ending of its file: what a scale model is, and what it is good for.
MODELS = {
    "pdf": (
        "Of paper, an evening",
        (
            "Print it at full size on stiff paper, cut it out, fold the tabs as they say, glue it edge by edge.",
            "It shows which edge meets which, and in which order: follow the steps of sewing with it.",
            "It shows where doorway and sleeve come to lie: stand it on a plan of the hall.",
            "It shows nothing of how the cloth stands under air.",
        ),
    ),
    "3mf": (
        "Printed, a day of a printer",
        (
            "It shows what the room looks like beside furniture and people of the same scale: take it to whoever "
            "lends the hall.",
            "It shows the way in and the way out, and where the fan stands.",
            "It is of no use for sewing: it has no pieces, and no air in it.",
        ),
    ),
}
#: Parts of the day, from unrolling to the first visitors.
DAY = ("Putting up", "Setting the vent", "Before and with the first visitors")
BEFORE_CUTTING = (
    "A paper model was folded, and the doorway is where it should be",
    "The cloth was measured on the bench: width, length, usable edge",
    "The outer side of the cloth is known, and which side of each piece the layout turns up",
    "Every notch is chalked and carried over the edge, every panel has its number",
    "Of each kind of piece one edge and both lengths across were measured against its page",
)
NO_FLAME = "No flame, no heater, no smoking in it or near it"
BEFORE_SWITCHING_ON = (
    "The floor is swept: nothing sharp under the cloth",
    "The sleeve is tied round the fan, the fan stands firm and is guarded, its lead lies off the way on an "
    "earth-leakage switch",
    "The way out is clear, the bags lie ready beside it",
    "No child, no hair and no scarf can come near the fan; no pin is left in the cloth",
    NO_FLAME,
)
BEFORE_PEOPLE = (
    "Ballast lies inside as the list says, against the walls; the middle of the way out is free",
    "The vent is set, the hem lies still, the pressure was read",
    "The fan was off once with nobody inside, and the drill practised",
)
FAN_STOPPED = (
    "Leave the clips as they are: every one off lets the cloth down faster. Count everybody outside. Switch the fan on "
    "again only when nobody is under the cloth."
)
EVERY_HOUR = (
    "Walls firm to a flat hand, the doorway as high as in the morning, the hem still",
    "The fan is not hot, its inlet is free, the lead is dry",
    "Clips and bags are where they were, and outdoors the ties",
    "The air inside is fresh, nobody is too warm",
    "No more people are inside than \u201cOn the day\u201d says",
)
TAKING_DOWN = (
    "Everybody out, and somebody counts them. Fan off, and its lead pulled out: nobody may switch it on by mistake "
    "while the cloth comes down.",
    "Open all clips. From outside press the cloth down from the far side towards the doorway, until it lies flat.",
    "Only now the ballast: fold the edge of the cloth back from outside and lift out bag after bag. Nobody crawls "
    "under it. Two lift what one cannot lift with ease, the cloth too.",
    "Brush it and let it dry: cloth packed wet rots and smells.",
)
PACKING = (
    "Fold panel on panel to a strip as wide as one panel, roll it from the cap towards the doorway.",
    "Bags, clips, cord, gauge and this book go into one box; note what is missing.",
)
OUTDOORS = (
    "All this holds indoors. Outdoors wind lifts the room, rolls it and folds it flat: it needs anchors, a limit of "
    "gusts and numbers of its own, which somebody has the program reckon first."
)
#: Words that are used throughout, in the order in which they are met.
WORDS = (
    (
        "piece, sheet",
        "a piece is what is cut after one outline, perhaps several times; each of them is a sheet: "
        "panel_03 is one of those cut from panel",
    ),
    (
        "e1, e2; S01",
        "the edges of a piece, counted counter-clockwise around its outer side; the seams, each of two edges",
    ),
    ("allowance", "the cloth outside the sewing line"),
    (
        "notch, ticks",
        "a mark across an edge that meets one of the edge sewn to it; both have as many ticks, short lines "
        "beside each other",
    ),
    (
        "snip",
        "a short cut across the allowance, so that it spreads, or is turned in on one side of the cut alone",
    ),
    ("row, run", "one line of stitches; rows that are sewn without lifting the needle"),
    ("lap", "one cloth lies flat on the other; neither is turned in"),
    ("hem, finished edge", "cloth turned in twice and sewn down; the fold that then is its end"),
    (
        "patch, tab, strip",
        "cloth sewn on to strengthen; a band with a loop for a cord; tape or cloth along an opening",
    ),
    ("vent, clips", "the slit beside the curtain that lets air out; spring clips that hold it shut"),
    ("Pa", "pascal, a pressure: 10 Pa hold up 1 mm of water"),
    (
        "the base lifts at",
        "the pressure at which air raises the foot of the wall from the floor and blows out below",
    ),
    (
        "shellparts check",
        "the program that this book comes from, told to reckon with what you read off the real room",
    ),
)
READINGS_HEAD = ("what", "value and unit", "speed", "opening", "day, who")
