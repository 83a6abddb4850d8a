"""The names that the package offers. A name is loaded when it is first asked for."""

from .face import unroll_face as unroll_face
from .group import unroll_group as unroll_group
from .inspection import survey as survey
from .outline import FaceReport as FaceReport
from .outline import FlatEdge as FlatEdge
from .outline import FoldLine as FoldLine
from .outline import Form as Form
from .outline import Loop as Loop
from .outline import Outline as Outline
