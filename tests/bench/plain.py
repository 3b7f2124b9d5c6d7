"""The plain endpoint: what people do without a log. One row behind DRF's own token."""

from rest_framework import serializers
from rest_framework.authentication import TokenAuthentication
from rest_framework.generics import CreateAPIView
from rest_framework.permissions import IsAuthenticated

from tests.bench.models import PlainReading


class PlainForm(serializers.ModelSerializer[PlainReading]):
    """The row as it is sent and shown."""

    class Meta:
        model = PlainReading
        fields = "__all__"


class PlainReadings(CreateAPIView[PlainReading]):
    """Writes one row."""

    queryset = PlainReading.objects.all()
    serializer_class = PlainForm
    authentication_classes = (TokenAuthentication,)
    permission_classes = (IsAuthenticated,)
