"""What signing in remembers of earlier tries."""

from django.db import models


class SignInTry(models.Model):
    """Failed tries of one account from one address, of one account, or from one address.

    ``key`` is a keyed digest: neither usernames that were typed nor addresses stand here.
    ``succeeded_at``: of an account at an address, when its person last came in from there.
    """

    key = models.CharField(primary_key=True, max_length=64)
    failures = models.PositiveIntegerField(default=0)
    blocked_until = models.DateTimeField(null=True)
    last_at = models.DateTimeField(db_index=True)
    succeeded_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.failures} failed tries"
