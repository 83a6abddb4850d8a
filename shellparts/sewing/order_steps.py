"""What an order of sewing consists of: tasks and steps. Data only."""

from enum import Enum, StrEnum

from attrs import frozen

from shellparts.sewing.bundle import Place

__all__ = ["Action", "SewingOrder", "Stage", "Step", "Task"]


class Stage(StrEnum):
    """Where the work stands, from the first stage to the last; tubes are set in after the flat work."""

    FLAT = "flat work"
    PAIRS = "pairs"
    QUARTERS = "quarters"
    HALVES = "halves"
    CLOSING = "closing seam"
    CAP = "cap"
    FLAP = "ground flap"
    FOOT = "foot"
    FIT = "fitting out"


class Action(Enum):
    """What is done in a step."""

    SEW = "sew"
    HEM = "hem"
    REINFORCE = "reinforce"
    PATCH = "sew patches on"
    CUT = "cut the opening"
    FIT = "fit"


@frozen
class Task:
    """What is to be done in a step."""

    stage: str  # A `Stage`, or what a tube calls the work of setting it in
    action: Action
    seams: tuple[str, ...] = ()  # Ids of the seams that are sewn, in the order in which they are
    edges: tuple[
        Place, ...
    ] = ()  # Sheet and edge, where edges are hemmed or reinforced, or where a cut or a clip is
    patches: tuple[tuple[str, str], ...] = ()  # Sheet and patch, where patches or tabs are sewn on


@frozen
class Step:
    """A task with its figures."""

    number: int  # From 1
    task: Task
    sheets: tuple[str, ...]  # Sheets that are joined, or whose edges are finished
    makes: tuple[str, ...]  # How the cloth lies, once for each kind of seam or edge in it
    length_mm: float  # Of the seams or edges together [mm]
    bundle_sheets: int  # Sheets that hang together afterwards and lie at the machine
    bundle_kg: float  # Their mass [kg]
    hands: int  # People needed, with the one at the machine
    thread_m: float  # Thread, waste included [m]
    minutes: float  # Time [min]
    closes_tube: bool  # Whether cloth that could be laid out before becomes a tube
    ring_mm: float | None  # Length around, where the seam runs back to where it begins [mm]


@frozen
class SewingOrder:
    """All steps of a room, in the order in which they are done."""

    steps: tuple[Step, ...]

    @property
    def seam_length_mm(self) -> float:
        """Length of all seams between sheets [mm]."""
        return sum(step.length_mm for step in self.steps if step.task.action is Action.SEW)

    @property
    def hem_length_mm(self) -> float:
        """Length of all edges that are turned in [mm]."""
        return sum(step.length_mm for step in self.steps if step.task.action is Action.HEM)

    @property
    def thread_m(self) -> float:
        """Thread, waste included [m]."""
        return sum(step.thread_m for step in self.steps)

    @property
    def hours(self) -> float:
        """Time at the machine, and for setting up [h]."""
        return sum(step.minutes for step in self.steps) / 60.0
