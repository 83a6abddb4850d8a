"""What is found out about the faces of somebody else's file, as plain data. No kernel.

Glossary: a face is *laid* when it has a flat outline, *refused* when it was read and has none, *unreadable* when
the file names it and the kernel cannot make it.
"""

from attrs import frozen

from shellparts.unroll.report import FaceReport

__all__ = ["FileSurvey", "Unreadable"]


@frozen
class Unreadable:
    """A face that the file names and nobody can have.

    Parameters
    ----------
    entity : str
        Its record in the file: ``"#12"``.
    reason : str
        Why it cannot be read.
    """

    entity: str
    reason: str


@frozen(eq=False)
class FileSurvey:
    """Every face of a file.

    Parameters
    ----------
    reports : tuple of FaceReport
        Of every face that was read, laid or refused.
    unreadable : tuple of Unreadable
        Of every other.
    """

    reports: tuple[FaceReport, ...]
    unreadable: tuple[Unreadable, ...]

    @property
    def laid(self) -> int:
        """How many faces have a flat outline."""
        return sum(report.outline is not None for report in self.reports)

    @property
    def refused(self) -> int:
        """How many faces were read and have none."""
        return len(self.reports) - self.laid

    @property
    def faces(self) -> int:
        """How many faces the file has: laid, refused and unreadable together."""
        return len(self.reports) + len(self.unreadable)
