"""HiGHS as it is used here: one thread, always the same start, silent, and ended by Ctrl-C."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import highspy


def new_solver() -> highspy.Highs:
    """A solver that is ready for a model."""
    import highspy

    class Quiet(highspy.Highs):
        """The solver without its callbacks: setting them up prints a banner before it can be silenced."""

        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()

    highs = Quiet()
    for name, value in (
        ("output_flag", False),
        ("threads", 1),
        ("parallel", "off"),
        ("random_seed", 1),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.5),  # costs are whole numbers
    ):
        highs.setOptionValue(name, value)
    return highs


@contextmanager
def ending(highs: highspy.Highs, pressed: Callable[[], None], tick: Callable[[], None]) -> Iterator[None]:
    """While the solver runs, Ctrl-C ends it within moments and leaves what it has found.

    Elsewhere than in the main thread, or where Ctrl-C means something else already, nothing is changed.

    Args:
        highs: the solver.
        pressed: is told of Ctrl-C.
        tick: is called now and then while whole numbers are looked for.
    """
    import highspy

    usual = signal.default_int_handler
    if threading.current_thread() is not threading.main_thread() or signal.getsignal(signal.SIGINT) is not usual:
        yield
        return
    stopped = False

    def stop(number: int, frame: FrameType | None) -> None:
        nonlocal stopped
        stopped = True
        pressed()

    whole = highspy.cb.HighsCallbackType.kCallbackMipInterrupt
    kinds = (whole, highspy.cb.HighsCallbackType.kCallbackSimplexInterrupt)

    def call(kind: object, message: object, out: object, into: highspy.cb.HighsCallbackInput, data: object) -> None:
        into.user_interrupt = stopped
        if kind == whole:
            tick()

    plain: Any = super(highspy.Highs, highs)
    # The solver swallows what is raised in a callback, so Ctrl-C must not be an exception meanwhile.
    signal.signal(signal.SIGINT, stop)
    try:
        plain.setCallback(call, None)
        for each in kinds:
            plain.startCallback(each)
        yield
    finally:
        for each in kinds:
            plain.stopCallback(each)
        signal.signal(signal.SIGINT, usual)


def run(highs: highspy.Highs) -> None:
    """Run the solver to its end.

    Raises:
        KeyboardInterrupt: Ctrl-C ended it.
    """
    stopped = False

    def pressed() -> None:
        nonlocal stopped
        stopped = True

    with ending(highs, pressed, lambda: None):
        highs.run()
    if stopped:
        raise KeyboardInterrupt
