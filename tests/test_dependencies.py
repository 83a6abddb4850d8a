"""What the package declares that it needs is what it imports, and the lowest of it can be asked for."""

import ast
import importlib.util
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).parents[1]
#: What trimesh writes 3MF with; it leaves the choice to whoever wants that.
FOR_3MF = {"networkx"}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def names(requirements: list[str]) -> set[str]:
    """Distributions by name, as an index spells them."""
    return {re.split(r"[<>=!~;\[ ]", one)[0].lower().replace("_", "-") for one in requirements}


def imported(folder: str) -> set[str]:
    """Top-level modules that are not the system's own, nor ours, nor beside the file."""
    found = set()
    for path in (ROOT / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                found.add(str(node.module).split(".")[0])
    own = {path.stem for path in (ROOT / "tests").rglob("*.py")} | {"shellparts"}
    return found - set(sys.stdlib_module_names) - own


def distributions(modules: set[str]) -> dict[str, set[str]]:
    """What each module is installed by; a module alone in its wheel has the wheel's name."""
    known = packages_distributions()
    return {
        module: {name.lower().replace("_", "-") for name in known.get(module, [module])} for module in modules
    }


def undeclared(folder: str, declared: set[str]) -> dict[str, set[str]]:
    return {module: by for module, by in distributions(imported(folder)).items() if not by & declared}


def test_every_import_of_the_library_is_declared():
    # A window is asked for only where its viewer is installed; the reference is for who has what it is read with.
    extras = PROJECT["optional-dependencies"]
    declared = names([*PROJECT["dependencies"], *extras["view"], *extras["docs"]])
    # The kernel comes with CadQuery, which alone says which one it works with.
    missing = {
        m: by for m, by in undeclared("shellparts", declared).items() if m not in {"OCP", "vtkmodules"}
    }
    assert missing == {}


def test_every_import_of_the_tests_is_declared():
    declared = names(PROJECT["dependencies"]) | names(PROJECT["optional-dependencies"]["test"])
    missing = {m: by for m, by in undeclared("tests", declared).items() if m != "OCP"}
    assert missing == {}


def test_everything_declared_is_imported_or_run():
    declared = names(PROJECT["dependencies"])
    used = set().union(*distributions(imported("shellparts")).values())
    assert declared - used == FOR_3MF
    source = Path(str(importlib.util.find_spec("trimesh.exchange.threemf").origin)).read_text(
        encoding="utf-8"
    )
    assert all(re.search(rf"^\s*(import|from) {name}", source, re.M) for name in FOR_3MF)


def test_every_dependency_says_what_its_lowest_version_is():
    for one in [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]:
        assert re.match(r"^[A-Za-z0-9_.-]+>=\d+(\.\d+)+", one), one
