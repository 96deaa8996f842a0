"""The web server's way in."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "opsrisk.settings")
application = get_wsgi_application()

from opsrisk import jobs  # noqa: E402  (needs Django set up)

jobs.start()
