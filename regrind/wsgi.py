"""The WSGI entry. System checks do not run under a server, so the database is checked here."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "regrind.settings")

from django.core.wsgi import get_wsgi_application

application = get_wsgi_application()

from regrind.shop.history.database import refuse_unsafe  # noqa: E402

refuse_unsafe()
