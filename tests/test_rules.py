"""The rules the package keeps to: what imports what, what starts the kernel, what every docstring says."""

import ast
import graphlib
import importlib
import inspect
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import attrs
import docstring_parser
import pytest

import shellparts

ROOT = Path(shellparts.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))
#: From the first stage to the last: a stage imports itself and those before it.
STAGES = (
    "base",
    "parameters",
    "openings",
    "body",
    "unroll",
    "pattern",
    "sewing",
    "stock",
    "templates",
    "inflate",
    "loads",
    "report",
    "drawing",
    "model",
    "writers",
    "build",
)
#: What people and CadQuery call: beside the folders, and nothing imports them.
FRONT = ("cli", "plugin", "bench", "reference", "__main__")
RANK = {name: rank for rank, name in enumerate(STAGES)} | dict.fromkeys(FRONT, len(STAGES))
KERNEL = {"OCP", "cadquery", "vtk", "vtkmodules"}
KERNEL_STAGES = {"body", "unroll", "plugin"}
#: Writers of solids and pictures.
KERNEL_MODULES = re.compile(r"writers\.(step|mesh|picture|viewer)|build\.foreign_reader$")


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix("__init__").removesuffix(".")


def stage_of(module: str) -> str:
    return module.split(".")[0]


def imports(tree: ast.Module) -> list[tuple[str, ast.stmt]]:
    """Absolute names of what a module imports anywhere in it, also inside functions."""
    found: list[tuple[str, ast.stmt]] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "a relative import"
            if node.module == "shellparts":
                found += [(f"shellparts.{alias.name}", node) for alias in node.names]
            else:
                found.append((str(node.module), node))
    return found


def may_import(stage: str, other: str) -> bool:
    if stage == "loads" and other not in {"loads", "inflate"}:
        return other in {"base", "parameters", "openings", "body"}
    return RANK[other] <= RANK[stage] and (other not in FRONT or stage in {"cli", "__main__"})


@cache
def trees():
    """Name and syntax tree of every module."""
    return [
        (module_name(path) or "shellparts", ast.parse(path.read_text(encoding="utf-8"))) for path in FILES
    ]


def test_the_import_rule_refuses_what_it_should():
    assert may_import("body", "parameters")
    assert not may_import("parameters", "body")
    assert not may_import("loads", "sewing")
    assert not may_import("base", "parameters")
    assert not may_import("writers", "cli")


def test_at_the_top_stand_the_stages_and_what_people_call():
    there = {
        path.stem
        for path in ROOT.iterdir()
        if path.name not in {"__init__.py", "__init__.pyi", "__pycache__"}
    } - {"py"}
    assert there == set(RANK)


def test_no_module_imports_itself_by_way_of_others():
    """Imports inside functions count: each module stands after all that it needs."""
    names = {module for module, _ in trees()}
    needs: dict[str, set[str]] = {}
    for module, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("shellparts."):
                home = str(node.module).removeprefix("shellparts.")
                found = {f"{home}.{a.name}" if f"{home}.{a.name}" in names else home for a in node.names}
                needs.setdefault(module, set()).update(found - {module})
    graphlib.TopologicalSorter(needs).prepare()
    with pytest.raises(graphlib.CycleError):
        graphlib.TopologicalSorter({"a": {"b"}, "b": {"a"}}).prepare()


def test_a_stage_imports_only_itself_and_the_stages_before_it():
    faults = [
        f"{module}, line {node.lineno}, imports {name}"
        for module, tree in trees()
        if module != "shellparts"
        for name, node in imports(tree)
        if name.startswith("shellparts.") and not may_import(stage_of(module), name.split(".")[1])
    ]
    assert faults == []


def delayed_imports(tree: ast.Module) -> set[int]:
    """Lines of imports that run only when a function is called, or only for type checkers."""
    late = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        or (isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING")
    ]
    inner = [child for node in late for child in ast.walk(node)]
    return {child.lineno for child in inner if isinstance(child, ast.Import | ast.ImportFrom)}


def may_know_the_kernel(module: str, lazily: bool) -> bool:
    if module in {"build.foreign", "build.notebook", "build.room_shapes", "bench"}:
        return lazily
    return stage_of(module) in KERNEL_STAGES or bool(KERNEL_MODULES.match(module))


def test_only_the_stages_of_solids_know_the_kernel():
    faults = [
        f"{module}, line {node.lineno}, imports {name}"
        for module, tree in trees()
        for name, node in imports(tree)
        if name.split(".")[0] in KERNEL
        and not may_know_the_kernel(module, node.lineno in delayed_imports(tree))
    ]
    assert faults == []


#: What the numbers, the command line and the flat drawings are made with.
KERNEL_FREE = [
    "shellparts",
    "shellparts.parameters",
    "shellparts.sewing",
    "shellparts.stock",
    "shellparts.inflate",
    "shellparts.loads.assess",
    "shellparts.report.records",
    "shellparts.body.seams",
    "shellparts.unroll.outline",
    "shellparts.drawing.piece",
    "shellparts.writers.dxf",
    "shellparts.writers.svg",
    "shellparts.writers.tables",
    "shellparts.report.pattern_record",
    "shellparts.build.room",
    "shellparts.build.numbers",
    "shellparts.build.made",
    "shellparts.build.inflated",
    "shellparts.build.files",
    "shellparts.build.foreign",
    "shellparts.build.script",
    "shellparts.build.output",
    "shellparts.build.scratch",
    "shellparts.cli",
]


def test_importing_them_leaves_the_kernel_out():
    code = (
        "import importlib, sys\n"
        f"for name in {KERNEL_FREE!r}:\n"
        "    importlib.import_module(name)\n"
        f"    found = {KERNEL!r} & {{n.split('.')[0] for n in sys.modules}}\n"
        "    assert not found, (name, found)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr


def test_importing_everything_shows_and_changes_nothing():
    """No module prints, and CadQuery's Workplane keeps its methods."""
    names = [f"shellparts.{module_name(path)}".rstrip(".") for path in FILES if path.name != "__main__.py"]
    code = (
        "import importlib, sys, cadquery as cq\n"
        "before = set(dir(cq.Workplane))\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        "assert set(dir(cq.Workplane)) == before\n"
        "assert 'OCP' in sys.modules  # the same check as above finds a kernel that is there\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert (run.stdout, run.stderr) == ("", "")


# What every file has


def test_a_module_is_short_and_says_what_it_is():
    faults = [module_name(path) for path in FILES if len(path.read_text(encoding="utf-8").splitlines()) > 400]
    faults += [module for module, tree in trees() if not ast.get_docstring(tree)]
    assert faults == []


def test_a_module_names_what_it_offers():
    """`__all__` is there, sorted, without doubles, and names everything public that the module defines."""
    faults = []
    for module, tree in trees():
        defined = {
            node.name
            for node in tree.body
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
        }
        lists = [n for n in tree.body if isinstance(n, ast.Assign) and ast.unparse(n.targets[0]) == "__all__"]
        names = ast.literal_eval(lists[0].value) if lists else []
        if defined and len(lists) != 1:
            faults.append(f"{module} has no __all__")
        if len(names) != len(set(names)):
            faults.append(f"{module} names something twice")
        there = importlib.import_module(f"shellparts.{module}" if module != "shellparts" else module)
        faults += [f"{module} has no {name}" for name in names if not hasattr(there, name)]
    assert faults == []


def test_no_class_name_stands_twice():
    """One meaning a word: a reader who finds a class by its name has found it."""
    homes: dict[str, list[str]] = {}
    for module, tree in trees():
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(module)
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


def test_no_text_lost_its_f_and_no_f_has_nothing_to_fill():
    faults = []
    for module, tree in trees():
        inside = {
            id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in ast.walk(n) if v is not n
        }
        inside |= {id(statement.value) for statement in ast.walk(tree) if isinstance(statement, ast.Expr)}
        for node in ast.walk(tree):
            if id(node) in inside:
                continue
            if isinstance(node, ast.JoinedStr) and not any(
                isinstance(v, ast.FormattedValue) for v in node.values
            ):
                faults.append(f"{module}, line {node.lineno}: nothing to fill")
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and _is_unfilled(tree, node):
                faults.append(f"{module}, line {node.lineno}: {node.value!r}")
    assert faults == []


def _is_unfilled(tree: ast.Module, constant: ast.Constant) -> bool:
    """Whether a text has a name in braces, and neither its own `format` nor a formatter that takes it fills them."""
    if not re.search(r"(?<!\{)\{[a-z_][\w.]*(:[^}]*)?\}(?!\})", constant.value):
        return False
    nodes = list(ast.walk(tree))
    filled = [n.value for n in nodes if isinstance(n, ast.Attribute) and n.attr == "format"]
    filled += [n.value for n in nodes if isinstance(n, ast.keyword) and n.arg == "bar_format"]
    calls = [n for n in nodes if isinstance(n, ast.Call) and ast.unparse(n.func).endswith("_formatter")]
    filled += [argument for call in calls for argument in call.args]
    names = {one.id for one in filled if isinstance(one, ast.Name)}
    filled += [n.value for n in nodes if isinstance(n, ast.Assign) and ast.unparse(n.targets[0]) in names]
    if names:  # a table of texts at the top of a module, gone through by whoever fills them
        filled += [
            n.value for n in tree.body if isinstance(n, ast.Assign | ast.AnnAssign) and n.value is not None
        ]
    return not any(constant is part for one in filled for part in ast.walk(one))


def test_no_error_is_swallowed_whole():
    """A broad `except` only where the error goes on as another one, which says where it came from."""
    faults = []
    for module, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.ExceptHandler):
                caught = (
                    {n.id for n in ast.walk(node.type) if isinstance(n, ast.Name)}
                    if node.type
                    else {"Exception"}
                )
                raises = any(isinstance(inner, ast.Raise) for inner in ast.walk(node))
                if caught & {"Exception", "BaseException"} and not raises:
                    faults.append(f"{module}, line {node.lineno}")
    assert faults == []


# What every docstring has


def public_things():
    """Every public function, class and method of every module, once, with its full name."""
    for path in FILES:
        name = f"shellparts.{module_name(path)}".rstrip(".")
        module = importlib.import_module(name)
        for public in getattr(module, "__all__", ()):
            thing = getattr(module, public)
            if getattr(thing, "__module__", None) != name:
                continue
            yield f"{name}.{public}", thing
            if inspect.isclass(thing):
                yield from ((f"{name}.{public}.{member}", method) for member, method in methods_of(thing))


def methods_of(cls: type):
    for member, value in vars(cls).items():
        value = value.fget if isinstance(value, property) else value
        value = getattr(value, "func", getattr(value, "__func__", value))
        if not member.startswith("_") and inspect.isfunction(value) and value.__module__ == cls.__module__:
            yield member, value


THINGS = dict(public_things())
FUNCTIONS = {name: thing for name, thing in THINGS.items() if inspect.isfunction(thing)}
DATA = {name: thing for name, thing in THINGS.items() if inspect.isclass(thing) and attrs.has(thing)}


def listed(thing) -> dict[str, str]:
    """Parameters that a docstring lists, each with its type and description."""
    doc = docstring_parser.parse(inspect.getdoc(thing) or "", docstring_parser.DocstringStyle.NUMPYDOC)
    return {
        name.strip().lstrip("*"): f"{entry.type_name or ''} {entry.description or ''}"
        for entry in doc.params
        if entry.args[0] == "param"
        for name in entry.arg_name.split(",")
    }


def test_everything_public_has_a_docstring_that_begins_with_a_sentence():
    faults = []
    for name, thing in THINGS.items():
        text = vars(thing).get("__doc__") if inspect.isclass(thing) else thing.__doc__
        first = inspect.cleandoc(text or "").split("\n\n")[0].rstrip()
        if not re.match(r"[A-Z`0-9*]", first) or not first.endswith((".", ":", "?")):
            faults.append(f"{name}: {first!r}")
    assert faults == []


def test_a_function_lists_its_parameters_as_its_signature_does_or_none():
    faults = []
    for name, function in FUNCTIONS.items():
        expected = [n for n in inspect.signature(function).parameters if n not in {"self", "cls"}]
        found = list(listed(function))
        if found and found != expected:
            faults.append(f"{name} lists {found}, takes {expected}")
    assert faults == []


def test_a_class_of_data_lists_its_fields():
    faults = []
    for name, data in DATA.items():
        fields = [field.alias for field in attrs.fields(data) if field.init]
        found = list(listed(data))
        if found and found != fields:
            faults.append(f"{name} lists {found}, has {fields}")
    assert faults == []


#: A unit in brackets, or a word that says the number has none.
SAYS_UNIT = re.compile(
    r"\[[^\]]+\]|same unit|per millimetre|in turns|share|ratio"
    r"|over the|number|how many|scale|parameter|factor|sign of",
    re.IGNORECASE,
)


def test_a_number_says_its_unit():
    faults = [
        f"{name}, {parameter.name}"
        for name, function in FUNCTIONS.items()
        for parameter in inspect.signature(function).parameters.values()
        if parameter.annotation in (float, float | None) and parameter.name in listed(function)
        if not SAYS_UNIT.search(listed(function)[parameter.name])
    ]
    assert faults == []
