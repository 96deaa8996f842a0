"""manage.py write_schemas: the JSON Schemas that this server serves, as files for whoever has no server."""

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from opsrisk.api.documents import PUBLISHED


def files() -> dict[str, str]:
    """The text of each file in docs/schemas."""
    return {f"{name}.json": json.dumps(made(), indent=1, ensure_ascii=False) + "\n" for name, made in PUBLISHED.items()}


class Command(BaseCommand):
    help = "Write the published JSON Schemas into docs/schemas."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        folder = Path(settings.BASE_DIR) / "docs" / "schemas"
        folder.mkdir(exist_ok=True)
        for name, text in files().items():
            (folder / name).write_text(text, encoding="utf-8")
        self.stdout.write(f"{len(files())} schemas written")
