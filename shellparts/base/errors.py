"""The errors a user can meet.

`ShellpartsError` is the base of all of them; whatever else escapes is a fault of the library.
"""

__all__ = [
    "GeometryError",
    "KernelError",
    "ModelScriptError",
    "OutputError",
    "ParameterError",
    "ShellpartsError",
    "Terminated",
    "UnrollError",
]


class ShellpartsError(Exception):
    """Base of every error that this library raises on purpose."""


class ParameterError(ShellpartsError, ValueError):
    """A value is outside what geometry or the trade allows.

    Parameters
    ----------
    what : str
        The value, as the user knows it: ``"doorway height"``.
    value : str
        What it is, with its unit: ``"5200 mm"``.
    limit : str
        What it may be: ``"at most 4310 mm, the shell's height there"``.
    remedy : str
        What to do: ``"lower the doorway or raise the shell"``.
    """

    in_inches = False  # Whether its lengths are told in feet and inches already

    def __init__(self, what: str, value: str, limit: str, remedy: str):
        self.what, self.value, self.limit, self.remedy = what, value, limit, remedy
        super().__init__(f"{what} is {value}; it must be {limit}. Remedy: {remedy}.")


class GeometryError(ShellpartsError):
    """The kernel gave a body that fails its own checks; nothing is written."""


class UnrollError(ShellpartsError):
    """A face cannot be laid flat; the message says why."""


class KernelError(ShellpartsError, ImportError):
    """The geometry kernel that is installed is not one that this library knows how to use."""


class ModelScriptError(ShellpartsError):
    """A model script cannot be run, or does not make one room."""


class OutputError(ShellpartsError):
    """The system refuses to write or read a file: a full disk, a name too long, no permission."""


class Terminated(BaseException):
    """The system asked the program to end; like Ctrl-C, it is no error and passes every handler of errors.

    Parameters
    ----------
    signal : int
        Number of the signal.
    """

    def __init__(self, signal: int):
        self.signal = signal
        super().__init__(f"ended by signal {signal}")
