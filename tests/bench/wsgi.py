"""The application that gunicorn serves in the benchmark: the program and the plain endpoint."""

import os

from django.core.wsgi import get_wsgi_application

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.settings"

application = get_wsgi_application()
