"""The certificates app."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class CertificatesConfig(AppConfig):
    """Wallet cards and the check of a card."""

    name = "certificates"
    label = "certificates"
    verbose_name = _("Cards")
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from certificates.texts import TEXTS
        from certificates.verification import register_checks
        from training.texts import register_texts

        register_texts(TEXTS)
        register_checks()
