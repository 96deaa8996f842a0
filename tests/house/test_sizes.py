"""A file fits one sitting and a function fits a hand; what does not is listed here with its reason."""

import ast

from tests.house.reading import ROOT, name_of, texts, tracked, tree

FILE_LINES, FUNCTION_LINES = 400, 40

LONG_FILES: dict[str, str] = {
    "opsrisk/briefing/verifier/verify_operation.py": "an inquirer reads and runs this one file alone, without the program",
}
LONG_FUNCTIONS: dict[str, str] = {}


def long_files():
    """Code and its tests; not documents, data, locks, nor what Django writes."""
    code = texts(".py", ".js", ".mjs", ".css", ".html", ".sh")
    return {name for name, text in code if "/migrations/" not in name and len(text.splitlines()) > FILE_LINES}


def long_functions():
    for path in tracked():
        if path.suffix == ".py" and "migrations" not in path.parts:
            for node in ast.walk(tree(path)):
                function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
                if function and node.end_lineno - node.lineno + 1 > FUNCTION_LINES:
                    yield f"{name_of(path)}::{node.name}"


def test_files_fit_one_sitting():
    """No file is longer than 400 lines unless the list above says why; a line there that is no longer needed goes."""
    assert long_files() == set(LONG_FILES)


def test_functions_fit_a_hand():
    """No function is longer than 40 lines unless the list above says why; a line there no longer needed goes."""
    assert set(long_functions()) == set(LONG_FUNCTIONS)


def test_every_exception_has_a_reason():
    """A name alone excuses nothing."""
    assert all(len(reason.split()) >= 4 for reason in [*LONG_FILES.values(), *LONG_FUNCTIONS.values()])


def test_the_top_level_stays_small():
    """A newcomer sees at once where things are: nothing joins the top level unnoticed."""
    expected = {
        "README.md", "DEVELOPERS.md", "LICENSE", "Makefile", "manage.py", "pyproject.toml", "package.json",
        "package-lock.json", ".ci", ".gitignore", ".npmrc", "opsrisk", "templates", "tests", "fixtures", "docs",
    }  # fmt: skip
    locks = {f"requirements{part}.{kind}" for part in ("", "-test", "-setup") for kind in ("in", "lock")}
    assert {path.relative_to(ROOT).parts[0] for path in tracked()} <= expected | locks
