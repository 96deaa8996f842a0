"""What the import linter cannot see also points downward: relations, includes of templates and of addresses."""

import re

from django.apps import apps

from tests.house.reading import PACKAGE, height, texts

PULLS_IN = re.compile(r"""{%-?\s*(?:include|extends)\s+["']([^"']+)["']""")


def app_of(dotted: str) -> str:
    return dotted.removeprefix("opsrisk.").partition(".")[0]


def room_of(template: str) -> str | None:
    """The app that a template belongs to; None for those that belong to the whole house, such as parts/."""
    first = template.rsplit("templates/", maxsplit=1)[-1].partition("/")[0]
    return first if first in height() else None


def relations():
    for model in apps.get_models():
        if model.__module__.startswith("opsrisk."):
            for field in [*model._meta.get_fields()]:
                if field.is_relation and not field.auto_created and field.related_model:
                    yield model, field


def test_there_are_relations_to_look_at():
    """The test below says nothing about an empty list."""
    assert len(list(relations())) > 5


def test_relations_point_downward():
    """A row knows rows of its own app or of apps below it, never of one above."""
    upward = [
        f"{model._meta.label}.{field.name} -> {field.related_model._meta.label}"
        for model, field in relations()
        if field.related_model.__module__.startswith("opsrisk.")
        and height()[app_of(field.related_model.__module__)] > height()[app_of(model.__module__)]
    ]
    assert not upward


def test_templates_pull_in_downward():
    """A template is composed of parts of the house, of its own app, or of apps below; a part only of parts."""
    upward = []
    for name, text in texts(".html", ".txt"):
        here = room_of(name) if "templates/" in name else None
        rooms = [(pulled, room_of(f"templates/{pulled}")) for pulled in PULLS_IN.findall(text)]
        upward += [
            f"{name}: {pulled}" for pulled, room in rooms if room and (not here or height()[room] > height()[here])
        ]
    assert not upward


def test_addresses_pull_in_downward():
    """Only the top of the house mounts apps; an app mounts none above itself."""
    upward = []
    for name, text in texts(".py", under=PACKAGE):
        if name.endswith("urls.py"):
            here = app_of(name.removesuffix(".py").replace("/", "."))
            included = re.findall(r"""include\(\s*["']opsrisk\.(\w+)""", text)
            upward += [f"{name}: {each}" for each in included if height()[each] >= height()[here]]
    assert not upward
