"""The design: every number of a room, validated and frozen, with no geometry kernel.

Glossary: *across* is the room's diameter at the floor; the *seams* are its ridges, the panel *middles* lie
nearer the axis by the cosine of half a panel's angle; the *profile* is the outline of the shell from floor to
top. This stage knows the limits of geometry and of the trade; it knows nothing of solids, cloth pieces or
files.
"""

from shellparts.parameters.allowances import Allowances
from shellparts.parameters.choices import Head, Measured, ProfileKind, Tape
from shellparts.parameters.design import Design
from shellparts.parameters.flap import Flap
from shellparts.parameters.marking import Marking
from shellparts.parameters.printing import Paper, Printing
from shellparts.parameters.reinforcement import Reinforcement
from shellparts.parameters.shell import Shell

__all__ = [
    "Allowances",
    "Design",
    "Flap",
    "Head",
    "Marking",
    "Measured",
    "Paper",
    "Printing",
    "ProfileKind",
    "Reinforcement",
    "Shell",
    "Tape",
]
