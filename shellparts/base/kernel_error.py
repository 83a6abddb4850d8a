"""What to say where the geometry kernel cannot be imported: which one is there, and which one is needed."""

from importlib.metadata import PackageNotFoundError, requires, version

from shellparts.base.errors import KernelError, ended

__all__ = ["kernel_error"]

_KERNEL = ("OCP", "cadquery", "vtk", "vtkmodules")
#: The kernel comes with CadQuery, which alone says which one it works with.
_PACKAGES = ("cadquery-ocp", "cadquery-ocp-proxy", "cadquery-ocp-novtk", "cadquery")


def kernel_error(error: ImportError) -> KernelError | None:
    """Say in one message that the kernel is missing, or another one than is needed; None if it is something else.

    Parameters
    ----------
    error : ImportError
        What Python said.

    Returns
    -------
    KernelError or None
    """
    if (error.name or "").split(".")[0] not in _KERNEL:
        return None
    there = ", ".join(f"{name} {found}" for name in _PACKAGES if (found := _version(name))) or "none"
    needed = " ".join(f"'{one}'" for one in ("cadquery>=2.8,<3", *_needed_by_cadquery()))
    return KernelError(
        f"The geometry kernel that is installed ({there}) does not have what is needed: {ended(str(error))} "
        f"Remedy: pip install {needed}.",
        name=error.name,
    )


def _version(package: str) -> str | None:
    try:
        return version(package)
    except PackageNotFoundError:
        return None


def _needed_by_cadquery() -> list[str]:
    """Which kernel the installed CadQuery asks for."""
    try:
        wanted = requires("cadquery") or []
    except PackageNotFoundError:
        return []
    return [one for one in wanted if one.startswith("cadquery-ocp") and ";" not in one]
