"""A file inspected, from its path to what was found."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.inspect.find.looked import Looked
from cutpath.inspect.find.table import inspected
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Inspected, Seen
from cutpath.job.values import Layers


def inspect_seen(
    seen: Seen, layers: Layers | None = None, cut_layers: Sequence[str] = (), tool: float | None = None
) -> Inspected:
    """Look at a file that was read.

    Args:
        seen: the file.
        layers: the names of a job's layers; None: the default ones.
        cut_layers: names of layers that are cut, where they are not to be told by their names.
        tool: the cutter's width, millimetres; None: what depends on it isn't looked at.
    """
    names = layers or Layers()
    roles = roles_of(seen, names, cut_layers, of_job=layers is not None)
    return inspected(Looked(seen, roles, names, tool))
