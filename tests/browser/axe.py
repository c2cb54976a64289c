"""The accessibility checker axe-core, fetched once by npm into a folder that git ignores."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import pytest

VERSION = "4.14.1"
FOLDER = Path(__file__).parent.parent.parent / ".cache" / "axe-core" / VERSION


@cache
def axe_source() -> str:
    """Its script; the test that asks skips where it can't be had."""
    script = FOLDER / "node_modules" / "axe-core" / "axe.min.js"
    if not script.exists():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("npm is not installed, so axe-core can't be fetched")
        FOLDER.parent.mkdir(parents=True, exist_ok=True)
        # Another process of the same run may fetch it too: whole it is put in place, by whichever is first.
        with tempfile.TemporaryDirectory(dir=FOLDER.parent, ignore_cleanup_errors=True) as own:
            command = [npm, "install", "--prefix", own, f"axe-core@{VERSION}", "--ignore-scripts", "--no-audit"]
            try:
                done = subprocess.run(
                    [*command, "--no-fund", "--fetch-retries=1"], capture_output=True, text=True, timeout=120
                )
            except subprocess.TimeoutExpired:
                pytest.skip("npm did not fetch axe-core within two minutes")
            if not done.returncode:
                with contextlib.suppress(OSError):
                    Path(own).rename(FOLDER)
        if not script.exists():
            pytest.skip(f"npm could not fetch axe-core: {done.stderr.strip()[-200:]}")
    return script.read_text(encoding="utf-8")
