"""Sentences about how rules are asked and how a quiz is planned; part of `training.texts`."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

QUESTION_TEXTS: dict[str, Promise | str] = {
    "book.confused_unknown": _("The book has no other rule “%(rule)s”. Correct its key."),
    "book.confused_other_kind": _(
        "“%(rule)s” has another unit, or another kind of limit. Nobody mixes it up with this rule."
    ),
    "book.calculation_does_not_fit": _("“%(calculation)s” cannot be worked out from this rule. Leave it out."),
    "book.drawing_does_not_fit": _("“%(kind)s” cannot be drawn from this rule. Leave it out."),
    "book.drawing_places": _("Give the right place and two wrong ones, each of them different."),
    "book.drawing_place_unknown": _("This rule has no common error “%(error)s”. Correct its key."),
    "blueprint.least_above_most": _("At least %(least)s and at most %(most)s cannot both be. Change one."),
    "blueprint.kind_too_small": _(
        "Only %(have)s rules can be asked as “%(kind)s”, but %(wanted)s are wanted. Ask for fewer."
    ),
    "blueprint.group_of_one": _("One rule alone is no group. Name the rule that it must not stand beside."),
    "blueprint.too_many_groups": _(
        "These groups can be combined in %(ways)s ways; at most %(most)s can be tried. Use fewer or smaller groups."
    ),
    "cut_score.few_judges": _("A cut score needs at least %(least)s judges. Ask one more."),
    "cut_score.rate_all": _("Every judge must rate each of the %(questions)s questions. Fill in what is missing."),
    "cut_score.rating": _("Judge %(judge)s, question %(question)s: give a chance from 0 to 100 percent."),
    "blueprint.run_share": _("Give the share of the order that must be right, such as 0.75, up to 1."),
}
