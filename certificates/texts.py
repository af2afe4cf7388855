"""Sentences for the package's message keys, and the fixed words of a card in the card's own language."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from certificates.domain.card import Labels
from certificates.domain.verify import Reason

TEXTS: dict[str, Promise | str] = {
    "card.not_employed": _("This person is not employed today. A card needs that."),
    "card.state.not_started": _("No card yet: nothing has been done. First reading, quiz and hands-on."),
    "card.state.under_way": _("No card yet: not all three proofs are there."),
    "card.state.waiting_for_decision": _("No card yet: the proofs are there, the decision is not."),
    "card.state.lapsed": _("No card: the qualification has run out. Renew it first."),
    "card.state.suspended": _("No card while the qualification is suspended. Restore it first."),
    "card.state.withdrawn": _("No card: the qualification was withdrawn. All steps start again."),
    "card.no_scope": _("No card: no scope counts today. Widen or restore a scope first."),
    "card.reason_missing": _("Say why the card is replaced."),
    "card.none_chosen": _("Choose at least one card to print."),
    "card.too_many": _("Choose at most %(most)s cards at once. You chose %(chosen)s."),
    "number.empty": _("Type the number that is printed on the card."),
    "number.length": _("A card number has %(wanted)s letters and digits. You typed %(typed)s. Check it and try again."),
    "number.symbol": _("“%(symbol)s” is in no card number. Check it and try again."),
    "number.check": _("This number is mistyped. Check it against the card and try again."),
}


def card_labels(language: str) -> Labels:
    """The fixed words printed on a card."""
    with override(language):
        return Labels(
            valid_to=gettext("Valid to"),
            no_end=gettext("No fixed end"),
            issued=gettext("Issued"),
            number=gettext("Card number"),
            covers=gettext("This card covers"),
            more=gettext("+{n} more: scan"),
            record=gettext("Employer’s record, not a government licence."),
            check=gettext("Check it: scan the code, or type the number at {place}"),
            keeper=gettext("Issued by {place}"),
        )


ANSWERS: dict[str, Promise | str] = {"yes": _("Valid"), "no": _("Not valid"), "due": _("Mistyped")}

ADVICE: dict[Reason, tuple[Promise | str, Promise | str]] = {
    Reason.MISTYPED: (
        _("No card has such a number."),
        _("One or more characters are wrong. Read the card again and type all ten."),
    ),
    Reason.UNKNOWN: (
        _("There is no such card."),
        _("The card may be forged. Do not let it count. Ask the person’s employer."),
    ),
    Reason.REPLACED: (
        _("This card was replaced by a new one."),
        _("Ask the person for the new card, or call the employer."),
    ),
    Reason.NO_LONGER_EMPLOYED: (
        _("The holder does not work for this employer today."),
        _("The card does not count. Ask for the card of the present employer."),
    ),
    Reason.WITHDRAWN: (
        _("This card was withdrawn."),
        _("The employer has ended it. Call the employer if you have a question."),
    ),
    Reason.SUSPENDED: (
        _("This card is suspended."),
        _("The employer has stopped it for now. Call the employer if you have a question."),
    ),
    Reason.NOT_YET: (_("This card does not count yet."), _("It starts on the day shown below.")),
    Reason.LAPSED: (
        _("This card has run out."),
        _("The holder must renew before setting tile alone. Call the employer if you have a question."),
    ),
    Reason.NO_SCOPE: (
        _("Nothing on this card counts today."),
        _("The employer has taken its scopes back. Call the employer if you have a question."),
    ),
}
