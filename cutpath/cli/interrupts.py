"""Ctrl-C, and being told to end, held off while files take their places."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from typing import Any, Final

_ENDING: Final = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


@contextlib.contextmanager
def held_off() -> Iterator[None]:
    """Let what is done inside be done whole: a signal that ends the run takes effect right after it.

    So nobody has to guess whether it came before or after the moment from which a change holds. What is done inside
    takes as long as the disk does.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []

    def note(number: int, frame: object) -> None:
        came.append(number)

    usual: dict[int, Any] = {}
    try:
        for number in _ENDING:
            # One that is ignored, as under nohup, stays so.
            if signal.getsignal(number) not in (signal.SIG_IGN, None):
                usual[number] = signal.signal(number, note)
        yield
    finally:
        for number, handler in usual.items():
            signal.signal(number, handler)
    for number in came[:1]:
        signal.raise_signal(number)
