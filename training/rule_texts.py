"""Sentences about rule books: their drafts, their changes, and what a change asks of people."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

RULE_TEXTS: dict[str, Promise | str] = {
    # drafts
    "rule_draft.open": _("Revision %(revision)s is still a draft. Finish that one first."),
    "rule_draft.issued": _("Revision %(revision)s is issued and never changes. Start a new draft."),
    "rule_draft.no_product": _("Write the name of the product."),
    "rule_draft.no_value": _("A number is missing for %(count)s rules: %(rules)s."),
    "rule_draft.no_source": _("The source is missing for %(count)s rules: %(rules)s."),
    "rule_draft.unconfirmed": _("An unusual number is not confirmed for %(count)s rules: %(rules)s."),
    "rule_draft.unusual": _("That is outside the usual range, %(low)s to %(high)s. Look again, then confirm it."),
    "rule_draft.not_reviewed": _("A second person has to review the draft first."),
    "rule_draft.own_review": _("You wrote in this draft. Somebody else has to review it."),
    "rule_draft.effective_before_last": _(
        "The revision before is in force from %(date)s. Give that day or a later one."
    ),
    "rule_draft.last_rule": _("A book needs at least one rule."),
    # what a change asks of people
    "impact.due_too_early": _("People cannot be done before that. Give %(date)s or a later day."),
    "impact.already_asked": _("This was decided before, on %(date)s. See the register."),
    "impact.not_issued": _("Issue the revision first. Then say what it asks of people."),
    "impact.nothing_before": _("This is the first revision. No older one was changed."),
    "impact.no_choice": _("“%(choice)s” cannot be asked because of this change."),
    # a short quiz on changed rules
    "quiz.nothing_to_ask": _("Nothing can be asked about the changed rules. Ask your safety officer."),
    # errors as relations
    "book.bad_relation": _("Give a factor other than one, or something to add; one of the two."),
    "book.relation_has_unit": _("A relation is always in the rule's own unit. Take the unit away."),
    "book.like_unknown": _("The book has no other rule “%(rule)s”. Correct its key."),
    "book.like_other_kind": _("“%(rule)s” has numbers of another kind. Name a rule like this one."),
}
