"""Entry point of the `cutpath` command."""

import gc
import sys


def run() -> None:
    """Run the command line and end the process with its status."""
    # A run is short and keeps most of what it makes: collecting garbage while it starts, and once more through
    # everything when the interpreter is taken down, would cost as much time as the solving does.
    gc.set_threshold(100_000, 20, 20)
    from cutpath.cli import run as run_cli

    status = run_cli()
    gc.freeze()
    sys.exit(status)


if __name__ == "__main__":
    run()
