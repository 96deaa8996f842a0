"""What decides, decides the same everywhere: on the tablet, on the server, today and in an inquiry years later."""

import ast
import sys

from tests.house.reading import name_of, pure_files, tree

# The readers of a protocol over arrays and over a solver; they prove the decision, they do not make it.
GUESTS = {"opsrisk/engine/replay.py": {"numpy"}, "opsrisk/engine/proof.py": {"z3"}}

# Standard modules that bring the time, chance, files, processes or the network with them.
OUTSIDE = {
    "time", "random", "secrets", "os", "io", "pathlib", "shutil", "tempfile", "glob", "fileinput", "socket", "ssl",
    "http", "urllib", "ftplib", "smtplib", "subprocess", "multiprocessing", "threading", "asyncio", "sqlite3",
    "importlib", "pkgutil", "ctypes", "logging",
}  # fmt: skip
# Calls by name, since a value may carry them in: a tripwire, not a proof.
CALLS = {"open", "input", "exec", "eval", "__import__", "breakpoint"}
METHODS = {
    "now", "utcnow", "today", "monotonic", "perf_counter", "localtime", "gmtime", "uuid1", "uuid4", "urandom",
    "read_text", "read_bytes", "write_text", "write_bytes", "urlopen", "connect",
}  # fmt: skip


def imports(path):
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name_of(path)}: a relative import; the house names the whole way"
            yield (node.module or "").partition(".")[0]


def called(path):
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            yield node.func.id, node.lineno, CALLS
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield node.func.attr, node.lineno, METHODS


def test_there_are_files_to_look_at():
    """The tests below say nothing about an empty list."""
    assert len(pure_files()) > 20


def test_imports_only_the_standard_library_and_the_house():
    """Nothing that the browser's Python does not bring is imported where the decision is made."""
    known = set(sys.stdlib_module_names) | {"opsrisk"}
    foreign = {name_of(path): set(imports(path)) - known - GUESTS.get(name_of(path), set()) for path in pure_files()}
    assert not {name: found for name, found in foreign.items() if found}


def test_imports_nothing_that_brings_clock_chance_file_or_network():
    """Time, ids and documents come in as arguments; the same arguments give the same answer."""
    outside = {name_of(path): set(imports(path)) & OUTSIDE for path in pure_files()}
    assert not {name: found for name, found in outside.items() if found}


def test_calls_nothing_that_asks_clock_chance_file_or_network():
    """Nor is any of it called by name on something that was handed in."""
    asked = [
        f"{name_of(path)}, line {line}: {name}"
        for path in pure_files()
        for name, line, forbidden in called(path)
        if name in forbidden
    ]
    assert not asked
