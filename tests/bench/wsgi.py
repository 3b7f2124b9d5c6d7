"""The application that gunicorn serves in the benchmark: the program and the plain endpoint."""

import os

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.settings"

from django.core.wsgi import get_wsgi_application

application = get_wsgi_application()
