"""Tells Django about the one app and hooks the ledger's triggers to migrations."""

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db.models.signals import post_migrate


class CheckoffsConfig(AppConfig):
    """The whole application is one Django app with one migrations history."""

    name = "checkoffs"
    label = "checkoffs"
    verbose_name = "Stepwitness"

    def ready(self) -> None:
        """Register the deploy checks and reinstall triggers after each migration (the one permitted signal)."""
        from checkoffs.ledger import triggers
        from checkoffs.site import checks

        post_migrate.connect(triggers.install_after_migrate, sender=self, dispatch_uid="ledger-triggers")
        register(triggers.check_installed, Tags.database)
        register(checks.check_origin, Tags.security, deploy=True)
