"""Entry point of the `cutpath` command."""

import contextlib
import gc
import os
import sys


def _status() -> int:
    try:
        from cutpath.cli.output import open_streams

        open_streams()
        from cutpath.cli.main import run as run_cli

        return run_cli()
    except KeyboardInterrupt:
        # While the modules are still being loaded, or the last line printed.
        return 130


def run() -> None:
    """Run the command line and end the process with its status."""
    # A run is short and keeps most of what it makes: collecting garbage meanwhile, and taking the interpreter down
    # piece by piece at the end, would cost as much time as the solving does. All files are closed by then.
    gc.set_threshold(1_000_000, 20, 20)
    status = _status()
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            stream.flush()
    os._exit(status)


if __name__ == "__main__":
    run()
