"""What every test stands on: how random tests run, and a cut file that many look at."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from cutpath.dxf.read_back import verified_dxf
from cutpath.job.values import DxfVersion
from cutpath.units import Unit
from tests.dxf_sample import LAYERS, sample

# A machine that is busy with other things is no fault of the program.
settings.register_profile("by hand", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True)
# The same examples each time, so that a run that fails says something of what was changed.
settings.register_profile("ci", settings.get_profile("by hand"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "by hand")


@pytest.fixture
def written(tmp_path: Path, version: DxfVersion, units: Unit) -> Path:
    """A sample of all that a cut file can hold, in a version and a unit."""
    path = tmp_path / "sample.dxf"
    path.write_bytes(verified_dxf("sample.dxf", sample(), units, version, LAYERS)[0])
    return path
