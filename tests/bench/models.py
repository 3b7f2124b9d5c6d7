"""The read table of the benchmark's record and the one row of the plain endpoint."""

from django.db import models

from practice.work.models import ReadTable


class Measured(ReadTable):
    """Kept by the projector of ``record``: the same columns as ``PlainReading``."""

    movement = models.CharField(max_length=40)
    side = models.CharField(max_length=10)
    degrees = models.SmallIntegerField()
    position = models.CharField(max_length=20)
    instrument = models.CharField(max_length=20)
    rater_id = models.UUIDField()
    pain = models.SmallIntegerField(null=True)
    at = models.DateTimeField()


class PlainReading(models.Model):
    """What people write without a log: one row, changed in place."""

    client_id = models.UUIDField(db_index=True)
    movement = models.CharField(max_length=40)
    side = models.CharField(max_length=10)
    motion = models.CharField(max_length=10)
    degrees = models.SmallIntegerField()
    position = models.CharField(max_length=20)
    instrument = models.CharField(max_length=20)
    rater_id = models.UUIDField()
    pain = models.SmallIntegerField(null=True)
    at = models.DateTimeField(auto_now_add=True)
