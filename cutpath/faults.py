"""Everything that can be wrong with what a user gave, as exceptions whose messages are plain lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import NamedTuple, Self


class Fault(Exception):
    """What was asked can't be done; the message is one line for a person.

    The command line prints `lines`, one each, on standard error and ends with status 2.

    Attributes:
        key: the job's key at fault by its full name, such as "machine.common_cuts", so that a page can put the fault
            beside its field; "": none, or not one alone.
        way_out: what the user may do; "": the text says it, or there is none.
    """

    def __init__(self, text: str = "", *, key: str = "", way_out: str = "") -> None:
        """Take what to say.

        Args:
            text: what is wrong; the message is this, and the way out behind it.
            key: see the class.
            way_out: likewise.
        """
        super().__init__(f"{text}; {way_out}" if way_out else text)
        self.key, self.way_out = key, way_out

    @property
    def text(self) -> str:
        """What is wrong, without the way out."""
        return str(self).removesuffix(f"; {self.way_out}") if self.way_out else str(self)

    def led_by(self, source: str) -> Self:
        """This very fault, its message led by the name of the file that it is of; "": as it is."""
        if source:
            self.args = (f"{source}: {self}",)
        return self

    @property
    def lines(self) -> tuple[str, ...]:
        """The message as lines for a terminal, none of them holding a line break."""
        return (" ".join(str(self).split()),)


class FaultOfLengths(Fault):
    """A fault whose lengths may be found where the job's unit is not known: in millimetres until they are told anew."""

    def __init__(self, text: str, *lengths: float, key: str = "", way_out: str = "") -> None:
        """Take what to say.

        Args:
            text: with a `{}` for each length; as it stands where there are none.
            lengths: millimetres.
            key: as for any fault.
            way_out: likewise; it holds no length.
        """
        super().__init__(text, key=key, way_out=way_out)
        self._text, self._lengths = str(self), lengths
        self.tell(lambda mm: f"{mm:.6g} mm")

    def tell(self, show: Callable[[float], str]) -> None:
        """Have the message's lengths written by `show`, which takes millimetres and gives text."""
        if self._lengths:
            self.args = (self._text.format(*map(show, self._lengths)),)


@contextmanager
def lengths_shown(show: Callable[[float], str]) -> Iterator[None]:
    """Have the lengths of a fault that leaves this context written by `show`, which turns millimetres into text."""
    try:
        yield
    except FaultOfLengths as fault:
        fault.tell(show)
        raise


class KeyFault(NamedTuple):
    """One fault of a file.

    Attributes:
        key: the key at fault by its full name, as "site.profile[2].down"; "": the file as a whole.
        text: what is wrong with it, and a way out.
    """

    key: str
    text: str

    def __str__(self) -> str:
        """Key and text on one line."""
        return f"{self.key}: {self.text}" if self.key else self.text


class JobFaults(Fault):
    """All faults of one job file, or stock file, found in one reading.

    Attributes:
        source: the file's name as the user gave it.
        faults: each with its key, so that a page can put it beside its field.
    """

    def __init__(self, source: str, *faults: KeyFault | str) -> None:
        """Gather faults.

        Args:
            source: the file's name as the user gave it.
            faults: a text alone is of the file as a whole.
        """
        self.source = source
        self.faults = tuple(KeyFault("", fault) if isinstance(fault, str) else fault for fault in faults)
        key = self.faults[0].key if len(self.faults) == 1 else ""
        super().__init__(f"{source}: {'; '.join(map(str, self.faults))}", key=key)

    @property
    def lines(self) -> tuple[str, ...]:
        """One line a fault, each led by the file's name."""
        return tuple(" ".join(f"{self.source}: {fault}".split()) for fault in self.faults)


class NoStairFits(Fault):
    """No riser count keeps the rules and the site's constraints."""


class ImpossibleStringer(FaultOfLengths):
    """The inputs leave no stringer: the message names the numbers."""


class ImpossiblePiece(FaultOfLengths):
    """A tread, a riser board or a part of the rail can't be as it is asked for: the message names the numbers."""


class NoNest(Fault):
    """The parts can't be had from the boards in stock."""

    def __init__(self, text: str = "", *, key: str = "stock", way_out: str = "") -> None:
        """Take what to say, as for any fault; the key is the stock's unless it says otherwise."""
        super().__init__(text, key=key, way_out=way_out)


class OutputRefused(Fault):
    """Files can't be put where they were asked for, and nothing was changed."""


class WrongCut(Fault):
    """In simulation a part comes out other than designed, or tabs stand where something bears; no file is made of it.

    The command line ends with status 1: the input is sound, and a required check fails.
    """


class FileMismatch(Fault):
    """A written file, read back, does not hold what was meant; nothing was put in place."""
