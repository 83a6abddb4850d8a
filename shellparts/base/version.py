"""The version of the library, as installed."""

from importlib.metadata import version

__all__ = ["VERSION", "__version__"]

VERSION = __version__ = version("shellparts")
