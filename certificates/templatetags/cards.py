"""Cards on pages of the training package, which knows nothing of cards; and words for a verdict."""

from __future__ import annotations

import datetime

from django import template
from django.template import Context
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from certificates import facts
from certificates.domain.verify import Reason
from certificates.models import current_card_of
from training import texts
from training.models import Person

register = template.Library()

REASON_WORDS: dict[str, Promise | str] = {
    Reason.REPLACED: _("replaced"),
    Reason.NO_LONGER_EMPLOYED: _("not employed"),
    Reason.WITHDRAWN: _("withdrawn"),
    Reason.SUSPENDED: _("suspended"),
    Reason.NOT_YET: _("not yet valid"),
    Reason.LAPSED: _("lapsed"),
    Reason.NO_SCOPE: _("no scope today"),
}


@register.inclusion_tag("certificates/_card_of.html", takes_context=True)
def card_of(context: Context, person: Person) -> dict[str, object]:
    """The person's current card with its answer for today, or the way to one."""
    actor = context["request"].actor
    card = current_card_of(person)
    known = facts.verdicts([card], person.company, actor.today) if card else {}
    verdict = known[card.pk] if card else None
    return {"person": person, "card": card, "verdict": verdict, "officer": actor.is_officer}


@register.filter
def reason_word(reason: str) -> str:
    """Why a card does not count, in a word or two."""
    return str(REASON_WORDS.get(reason, reason))


@register.filter
def local_day(moment: datetime.datetime) -> str:
    """The day of a moment at the clock now in force."""
    return texts.show(timezone.localtime(moment).date())
