"""A kernel that is missing, or a newer one without what is needed: one message that names both, and no traceback."""

import os
import re
import subprocess
import sys
import types

import pytest
from test_cli import BARE

from shellparts import Design, Shell, build
from shellparts.base.errors import KernelError
from shellparts.base.kernel_error import kernel_error
from shellparts.cli import _guarded

#: What Python says of a kernel that has moved on, and of none.
NEWER = ImportError(
    "cannot import name 'TopTools_IndexedMapOfShape' from 'OCP.TopTools'", name="OCP.TopTools"
)
GONE = ModuleNotFoundError("No module named 'OCP'", name="OCP")
SAID = (
    r"The geometry kernel that is installed \(cadquery-ocp .*\) does not have what is needed: .*'OCP.*'\. "
    r"Remedy: pip install 'cadquery>=2\.8,<3' 'cadquery-ocp.*'\."
)


def raised(error):
    raise error


def test_a_script_with_another_kernel_ends_in_one_message(tmp_path):
    """A stand-in for a kernel that has moved on lies where it is found first."""
    for name in ("OCP", "cadquery"):
        (tmp_path / f"{name}.py").write_text(f"raise ImportError({str(NEWER)!r}, name='OCP.TopTools')\n")
    (tmp_path / "bare.py").write_text(BARE)
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")])}
    run = subprocess.run([sys.executable, "bare.py"], capture_output=True, text=True, cwd=tmp_path, env=env)
    assert (run.returncode, run.stdout) == (2, "")
    (line,) = run.stderr.splitlines()
    assert re.fullmatch(f"shellparts: {SAID}", line), line
    assert not (tmp_path / "exports").exists()


@pytest.mark.parametrize("error", [NEWER, GONE], ids=["newer", "gone"])
def test_every_command_tells_another_kernel_in_one_message(error, capsys):
    with pytest.raises(SystemExit) as stop:
        _guarded(lambda: raised(error))
    assert stop.value.code == 2
    assert re.fullmatch(f"shellparts: {SAID}\n", capsys.readouterr().err)


def test_a_room_that_is_asked_for_solids_tells_it_too(monkeypatch):
    module = types.ModuleType("shellparts.body.assembly")
    module.__getattr__ = lambda name: raised(NEWER)
    monkeypatch.setitem(sys.modules, "shellparts.body.assembly", module)
    room = build(Design(name="bare", shell=Shell(panels=6, across=3000, height=2400)))
    with pytest.raises(KernelError, match=SAID) as caught:
        room.envelope  # noqa: B018
    assert caught.value.__cause__ is NEWER


def test_other_imports_are_no_affair_of_the_kernel():
    assert kernel_error(ImportError("no", name="matplotlib")) is None
    assert kernel_error(ImportError("no")) is None
    with pytest.raises(ImportError, match="no"):
        _guarded(lambda: raised(ImportError("no", name="matplotlib")))
