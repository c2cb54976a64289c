"""Everything that can be wrong with what a user gave, as exceptions that print as plain lines."""


class Fault(Exception):
    """What was asked can't be done; the message is one line for a person.

    The command line prints `lines`, one each, on standard error and ends with status 2.
    """

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines to print, none of them holding a line break."""
        return (" ".join(str(self).split()),)


class JobFaults(Fault):
    """All faults of one job file, found in one reading."""

    def __init__(self, source: str, faults: tuple[str, ...]) -> None:
        """Gather faults.

        Args:
            source: the file's name as the user gave it.
            faults: one message each, starting with the key in question.
        """
        super().__init__(f"{source}: {'; '.join(faults)}")
        self.source = source
        self.faults = faults

    @property
    def lines(self) -> tuple[str, ...]:
        """One line a fault, each led by the file's name."""
        return tuple(" ".join(f"{self.source}: {fault}".split()) for fault in self.faults)


class NoStairFits(Fault):
    """No riser count keeps the rules and the site's constraints."""


class ImpossibleStringer(Fault):
    """The inputs leave no stringer: the message names the numbers."""


class NoNest(Fault):
    """The parts can't be had from the boards in stock."""


class OutputRefused(Fault):
    """Files can't be put where they were asked for, and nothing was changed."""


class FileMismatch(Fault):
    """A written file, read back, does not hold what was meant; nothing was put in place."""
