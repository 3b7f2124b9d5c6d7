"""The WSGI application that gunicorn serves."""

import gc
import os
from importlib import import_module

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
# Nothing that is imported now is ever garbage: not looked through until all of it is there.
gc.disable()

application = get_wsgi_application()
# Its models can only be imported now. Raises WrongKeysError: the process does not start.
import_module("practice.keys.canary").refuse_to_start_with_wrong_keys()
# Its addresses can only be imported now. Raises IncompleteSpecs: the process does not start.
import_module("practice.startup.install").check_addresses()
import_module("practice.jobs.wake").load_transport()
import_module("practice.core.collector").leave_start_up_alone()
