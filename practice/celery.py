"""The Celery application."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
# Django's checks import every view, half the start of a worker; manage.py and the tests run them.
os.environ.setdefault("CELERY_SKIP_CHECKS", "1")

app = Celery("practice")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["practice.jobs"])
