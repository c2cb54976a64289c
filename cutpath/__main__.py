"""Entry point of the `cutpath` command."""

import sys


def run() -> None:
    """Run the command line and end the process with its status."""
    from cutpath.cli import run as run_cli

    sys.exit(run_cli())


if __name__ == "__main__":
    run()
