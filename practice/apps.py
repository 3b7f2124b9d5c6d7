"""The practice's app; with it the declarations of all apps are installed."""

from django.apps import AppConfig
from django.core import checks
from django.db.models.signals import post_migrate


class PracticeConfig(AppConfig):
    """Installs what the apps declare. After every migrate it loads missing settings and says
    which read tables are to be made again."""

    name = "practice"
    label = "practice"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Install the specs that the settings list, in that order: the only place that imports
        them. Raises IncompleteSpecs, so that no process starts with a gap."""
        from django.conf import settings

        from practice.policy import stamps
        from practice.policy.fixtures import load_missing_settings
        from practice.startup.files_check import check_files
        from practice.startup.install import install, load_specs
        from practice.work import read_table_builds

        checks.register(checks.Tags.security)(check_files)
        checks.register(checks.Tags.database)(stamps.check_stamps)
        install(load_specs(settings.APP_SPECS))
        post_migrate.connect(stamps.install, sender=self)
        post_migrate.connect(load_missing_settings, sender=self)
        post_migrate.connect(read_table_builds.after_migrate, sender=self)
