"""Where a tool is told to look away, the line says why."""

import ast
import io
import re
import tokenize

from tests.house.reading import ROOT, texts

LOOK_AWAY = re.compile(r"#\s*(noqa|type:\s*ignore|fmt:|mypy:|pragma:|nosec|ruff:)")
# The tool's own part, such as "noqa: E402" or "type: ignore[arg-type]"; whatever follows is the reason.
TOOLS_PART = re.compile(r"#\s*(?:noqa(?::\s*[A-Z]+\d+(?:,\s*[A-Z]+\d+)*)|type:\s*ignore\[[\w, -]+\])")
JAVASCRIPT = re.compile(r"(eslint-disable|@ts-ignore|@ts-nocheck|@ts-expect-error)")

SKIPS = ("pytest.importorskip", "pytest.mark.skipif", "pytest.mark.skip", "pytest.mark.xfail")


def comments(text):
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string


def unexplained(text):
    for line, comment in comments(text):
        if not LOOK_AWAY.search(comment) or re.fullmatch(r"#\s*fmt:\s*(off|on|skip)", comment):
            continue  # layout only: a table that reads better in columns needs no excuse
        reason = TOOLS_PART.sub("", comment).strip(" #()-—")
        if not TOOLS_PART.search(comment) or len(reason.split()) < 2:
            yield f"line {line}: {comment}"


def test_each_exception_in_python_names_its_rule_and_reason():
    """`# noqa: RULE  (why)` and `# type: ignore[rule]  # why`; a bare one silences what nobody has read."""
    assert not [f"{name}, {line}" for name, text in texts(".py") for line in unexplained(text)]


def skipped_without_reason(name, text):
    """Calls that leave a test out where something is missing, without `reason`."""
    for node in ast.walk(ast.parse(text)):
        skips = isinstance(node, ast.Call) and ast.unparse(node.func) in SKIPS
        if skips and not any(word.arg == "reason" for word in node.keywords):
            yield f"{name}, line {node.lineno}: {ast.unparse(node)}"


def test_each_test_that_may_be_left_out_says_why():
    """Whoever reads the report of a run learns what was not tried."""
    assert not [one for name, text in texts(".py", under=ROOT / "tests") for one in skipped_without_reason(name, text)]


def test_no_exception_in_javascript_without_reason():
    """The browser's side has no linter to silence; a leftover of one is a mistake."""
    assert not [name for name, text in texts(".js", ".mjs") if JAVASCRIPT.search(text)]


def test_each_exception_in_the_settings_of_the_tools_has_a_reason():
    """Every rule that pyproject.toml turns off for the whole house carries a comment on its line."""
    text = (ROOT / "pyproject.toml").read_text()
    turned_off = re.search(r"^ignore = \[\n(.*?)^\]", text, re.DOTALL | re.MULTILINE)
    by_file = re.search(r"^\[tool\.ruff\.lint\.per-file-ignores\]\n(.*?)^\[", text, re.DOTALL | re.MULTILINE)
    assert turned_off and by_file
    lines = [line for block in (turned_off, by_file) for line in block[1].splitlines() if line.strip()]
    assert not [line for line in lines if not re.search(r"#\s*\S+\s+\S+", line)]
