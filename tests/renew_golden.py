"""Write `fixtures/golden` anew from the demo jobs. Read the diff before you commit it.

Run: python -m tests.renew_golden
"""

import shutil
from pathlib import Path

from cutpath.cli.main import run

FIXTURES = Path(__file__).parent.parent / "fixtures"
GOLDEN = FIXTURES / "golden"
JOBS = sorted(FIXTURES.glob("*.toml"))
#: Another version of the PDF library may lay out its objects otherwise; tests/test_pattern.py measures the page itself.
NOT_KEPT = {"pattern.pdf"}


def main() -> None:
    """Export every demo job into its golden folder."""
    shutil.rmtree(GOLDEN, ignore_errors=True)
    for job in JOBS:
        if run(["export", str(job), "-o", str(GOLDEN / job.stem)]) != 0:
            raise SystemExit(f"{job} fails its checks")
        for name in NOT_KEPT:
            (GOLDEN / job.stem / name).unlink()


if __name__ == "__main__":
    main()
