"""The names that the package offers. A name is loaded when it is first asked for."""

from .assembly import assemble as assemble
from .body import Body as Body
from .body import BodyFace as BodyFace
from .body import BodySheet as BodySheet
from .body import Figures as Figures
from .seams import EdgeRole as EdgeRole
from .seams import EdgeUse as EdgeUse
from .seams import SeamGraph as SeamGraph
