"""Examples in docstrings are true."""

import doctest
import importlib

from tests.house.reading import name_of, pure_files


def test_examples_in_docstrings_hold():
    """Each computation shows a call with a real number; what it shows is what it answers."""
    tried, wrong = 0, []
    for path in pure_files():
        if path.stem != "__init__":
            module = importlib.import_module(name_of(path).removesuffix(".py").replace("/", "."))
            result = doctest.testmod(module)
            tried += result.attempted
            wrong += [name_of(path)] if result.failed else []
    assert tried > 10
    assert not wrong
