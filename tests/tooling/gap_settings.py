"""The program's settings with a gap: nobody declares what billing brings."""

from practice.settings import *  # noqa: F403
from practice.settings import APP_SPECS

APP_SPECS = [name for name in APP_SPECS if name != "billing.spec.APP"]
