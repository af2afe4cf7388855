"""The training app."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class TrainingConfig(AppConfig):
    """People, rules, material, quizzes, hands-on work, the register and decisions."""

    name = "training"
    label = "training"
    verbose_name = _("Training")
    default_auto_field = "django.db.models.BigAutoField"
