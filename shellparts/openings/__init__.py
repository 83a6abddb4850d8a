"""What goes through the shell: the doorway, the fan sleeve. One module a kind; no kernel."""

from shellparts.openings.doorway import Doorway
from shellparts.openings.sleeve import Sleeve

__all__ = ["Doorway", "Sleeve"]
