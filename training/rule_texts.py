"""Sentences about rule books: their drafts, their changes, and what a change asks of people."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

RULE_TEXTS: dict[str, Promise | str] = {
    # errors as relations
    "book.bad_relation": _("Give a factor other than one, or something to add; one of the two."),
    "book.relation_has_unit": _("A relation is always in the rule's own unit. Take the unit away."),
    "book.like_unknown": _("The book has no other rule “%(rule)s”. Correct its key."),
    "book.like_other_kind": _("“%(rule)s” has numbers of another kind. Name a rule like this one."),
}
