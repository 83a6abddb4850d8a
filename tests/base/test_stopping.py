"""Being asked to end is never lost, wherever the program was."""

import gc

import pytest

from shellparts.base import stopping
from shellparts.base.errors import Terminated
from shellparts.base.progress import bar


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_what_a_destructor_swallows_ends_the_run_at_its_next_step():
    class Closing:
        def __del__(self) -> None:
            stopping.end(15)

    with bar(3) as told:
        told.step("first")
        Closing()
        gc.collect()
        with pytest.raises(Terminated) as found:
            told.step("second")
        assert found.value.signal == 15
        stopping.forget()
        told.step("third")
