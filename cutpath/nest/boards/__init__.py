"""The nest on boards: parts in rows, at least cost, with the bound that proves it."""
