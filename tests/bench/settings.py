"""The program's settings with the peers' tables and addresses added."""

from practice.settings import *  # noqa: F403
from practice.settings import APP_SPECS, INSTALLED_APPS

INSTALLED_APPS = [*INSTALLED_APPS, "rest_framework.authtoken", "tests.bench"]
APP_SPECS = [*APP_SPECS, "tests.bench.spec.APP"]
ROOT_URLCONF = "tests.bench.urls"
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "testserver"]
