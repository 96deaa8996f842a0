"""The way in for `celery -A opsrisk.celery worker` and `... beat`."""

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")
django.setup()

from opsrisk import jobs  # noqa: E402  (needs Django set up)

app = jobs.celery_app()
