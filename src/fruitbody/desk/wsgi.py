"""What a web server calls: `gunicorn fruitbody.desk.wsgi`."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fruitbody.desk.settings")

application = get_wsgi_application()
