"""Reads the repository as text and as syntax, for the tests that keep the house in order."""

import ast
import subprocess
import tomllib
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PACKAGE = ROOT / "opsrisk"


@cache
def tracked() -> tuple[Path, ...]:
    """Every file of the repository, and those about to join it; not what tools leave behind."""
    # Whoever the files belong to: a root who tests a person's clone reads it too.
    git = ["git", "-c", "safe.directory=*", "-C", str(ROOT)]
    command = [*git, "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split("\0")
    return tuple(path for name in sorted(set(names) - {""}) if (path := ROOT / name).is_file())


def texts(*suffixes: str, under: Path = ROOT) -> list[tuple[str, str]]:
    """Name and content of each tracked text file with one of `suffixes` (any, if none is given)."""
    wanted = [path for path in tracked() if path.is_relative_to(under) and (not suffixes or path.suffix in suffixes)]
    return [(name_of(path), path.read_text("utf-8")) for path in wanted if b"\0" not in path.read_bytes()]


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"), filename=str(path))


@cache
def pyproject() -> dict:
    return tomllib.loads((ROOT / "pyproject.toml").read_text())


def _contract(name: str) -> dict:
    return next(each for each in pyproject()["tool"]["importlinter"]["contracts"] if each["name"].startswith(name))


@cache
def height() -> dict[str, int]:
    """How high each folder of the package stands, as the import contract orders them; 0 is the floor."""
    layers = reversed(_contract("The house")["layers"])
    return {
        room.strip("() "): level for level, layer in enumerate(layers) for room in layer.replace(":", "|").split("|")
    }


def pure_files() -> list[Path]:
    """The files that run on the tablet: no framework, no clock, no chance, no file, no network."""
    rooms = [ROOT / module.replace(".", "/") for module in _contract("What runs on the tablet")["source_modules"]]
    return [
        path
        for path in tracked()
        if path.suffix == ".py" and any(path.with_suffix("") == room or path.is_relative_to(room) for room in rooms)
    ]
