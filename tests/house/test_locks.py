"""What is installed is what was locked, on any machine."""

import json
import re

import pytest

from tests.house.reading import ROOT

LOCKS = ["requirements", "requirements-test", "requirements-setup"]


def wanted(stem):
    lines = (ROOT / f"{stem}.in").read_text().splitlines()
    return {
        re.split(r"[\[=~<>! ]", line)[0].lower().replace("_", "-") for line in lines if line and line[0] not in "#-"
    }


def locked(stem):
    """Name of each package in the lock, with the text of its entry."""
    entries = re.split(r"^(?=[a-z0-9])", (ROOT / f"{stem}.lock").read_text(), flags=re.MULTILINE)
    return [(entry.partition("==")[0].partition("[")[0], entry) for entry in entries if entry.strip()]


@pytest.mark.parametrize("stem", LOCKS)
def test_lock_is_made_from_its_list(stem):
    """A package added to the list is in the lock too: `make lock` was run."""
    assert wanted(stem) <= {name for name, _ in locked(stem)}


@pytest.mark.parametrize("stem", LOCKS)
def test_each_locked_package_has_its_hashes(stem):
    """One exact version and at least one hash, so that a swapped file is refused."""
    assert not [name for name, entry in locked(stem) if "==" not in entry or "--hash=sha256:" not in entry]


def test_tests_run_on_the_versions_that_run():
    """A package in both locks has the same version in both."""

    def pins(stem):
        return {entry.split(" ")[0] for _, entry in locked(stem)}

    names = {name for name, _ in locked("requirements")}
    assert {pin for pin in pins("requirements-test") if pin.partition("==")[0] in names} <= pins("requirements")


def test_browser_packages_are_exact_and_hashed():
    """package.json names exact versions; package-lock.json has them with a hash each."""
    listed = json.loads((ROOT / "package.json").read_text())
    packages = json.loads((ROOT / "package-lock.json").read_text())["packages"]
    for name, version in (listed["dependencies"] | listed["devDependencies"]).items():
        assert packages[f"node_modules/{name}"]["version"] == version
    assert all("integrity" in each for path, each in packages.items() if path)
