"""Printed lines as they were before they were broken to a terminal's width."""


def unwrapped(text: str) -> list[str]:
    """The lines of a text, each with what goes on below it."""
    return text.replace("\n  ", " ").splitlines()
