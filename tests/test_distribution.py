"""What is shipped: the bill of materials, package data, and a wheel built from a source distribution."""

from __future__ import annotations

import fnmatch
import subprocess
import tomllib
from pathlib import Path

import pytest

from tests.bill import BILL, TEST_TOOLS_OF_MPL, direct, installed, licence

ROOT = Path(__file__).parent.parent
COPYLEFT = ("GPL", "AGPL", "Mozilla", "MPL", "EPL", "EUPL", "CDDL")


def test_the_bill_names_what_is_asked_for() -> None:
    own = direct("search")
    assert own <= set(BILL)
    assert {name for name in BILL if not BILL[name].use.startswith("through")} == own


def test_the_bill_names_whatever_those_bring_along_with_its_licence() -> None:
    found = installed(direct())
    assert len(found) >= len(direct())
    assert set(found) <= set(BILL), "a package more: add it to BILL, with its licence"
    families = ("MIT", "BSD", "PSF", "Apache")
    for name, package in found.items():
        stated = BILL[name].licence
        family = next(kind for kind in families if stated.startswith(kind))
        assert family in licence(package), (name, licence(package))


def test_no_copyleft_comes_in() -> None:
    found = installed(direct("search", "dev"))
    assert len(found) > 40
    for name, package in found.items():
        stated = licence(package).replace("LGPL", "GPL")
        if any(word in stated for word in COPYLEFT):
            assert name in TEST_TOOLS_OF_MPL and name not in BILL, (name, stated)


def tracked() -> list[str]:
    """The package's files as the repository has them."""
    listed = subprocess.run(["git", "ls-files", "cutpath"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("no repository here")
    return listed.stdout.split()


def test_every_file_of_the_package_is_shipped() -> None:
    patterns = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["package-data"]["cutpath"]
    data = [path.removeprefix("cutpath/") for path in tracked() if not path.endswith(".py")]
    assert len(data) > 20
    for path in data:
        assert any(fnmatch.fnmatch(path, pattern.replace("**/", "*")) for pattern in patterns), path


def test_every_folder_with_code_is_a_package() -> None:
    folders = {Path(path).parent for path in tracked() if path.endswith(".py")}
    assert all((ROOT / folder / "__init__.py").exists() for folder in folders)
