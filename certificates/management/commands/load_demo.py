"""Load the invented demo through the actions. Never into a real installation."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from certificates.actions import issue_card, replace_card
from certificates.models import current_card_of
from training.demo.player import Player
from training.models import Company, Person
from training.permissions import Actor


class Cards:
    """What the scenario does with cards."""

    def issue(self, by: Actor, person: Person) -> None:
        issue_card(by=by, person=person)

    def replace(self, by: Actor, person: Person, reason: str) -> None:
        card = current_card_of(person)
        assert card is not None
        replace_card(by=by, card=card, reason=reason)


class Command(BaseCommand):
    help = "Loads the invented demo: two companies, thirty people, every state."

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.REAL:
            raise CommandError("This is a real installation. The demo does not belong in it.")
        if Company.objects.exists():
            raise CommandError("There is data already. Empty the demo's folder .headlap to load it anew.")
        with transaction.atomic():
            Player(timezone.localdate(), Cards()).play()
