"""manage.py write_field_guide: the made half of every page in docs/computations."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from opsrisk.operations.field_guide import pages


class Command(BaseCommand):
    help = "Write what follows from the program into docs/computations; what stands above the line is left alone."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        root = Path(settings.BASE_DIR)
        examples = root / "fixtures" / "computations" / "examples.json"
        made = pages(root / "docs" / "computations", root / "fixtures" / "oracles", examples)
        for path, text in made.items():
            path.write_text(text, encoding="utf-8")
        self.stdout.write(f"{len(made)} pages written")
