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
    "UnknownNameError",
    "UnrollError",
    "ended",
]


def ended(sentence: str) -> str:
    """The sentence with one mark at its end: its own, else a full stop.

    Examples
    --------
    >>> ended("lower the wall"), ended("did you mean 'dome'?")
    ('lower the wall.', "did you mean 'dome'?")
    """
    return sentence if sentence.endswith((".", "?", "!", "…")) else f"{sentence}."


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
        super().__init__(f"{what} is {value}; it must be {limit}. Remedy: {ended(remedy)}")


class UnknownNameError(ParameterError, KeyError):
    """A name is asked for that is not there; a `KeyError` too, for those who catch that of a dictionary."""

    __str__ = Exception.__str__  # That of KeyError would show the sentence in quotes


class GeometryError(ShellpartsError):
    """The kernel gave a body that fails its own checks; nothing is written."""


class UnrollError(ShellpartsError):
    """A face cannot be laid flat.

    Parameters
    ----------
    reason : str
        Why, a sentence; where something is measured, what it is and what will do.
    remedy : str
        What to do about it.
    """

    def __init__(self, reason: str, remedy: str):
        self.reason, self.remedy = reason, remedy
        super().__init__(f"{ended(reason)} Remedy: {ended(remedy)}")


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
