"""Where the frozen answers of independent programs lie, and how a test reads or remakes them."""

import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "oracles"


def frozen(name: str) -> dict[str, Any]:
    """The oracle document `name` (without .json)."""
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def maker(name: str) -> ModuleType:
    """The script `name` (without .py) that made an oracle document, as a module: its oracle can be run now."""
    spec = importlib.util.spec_from_file_location(f"oracles_{name}", FOLDER / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
