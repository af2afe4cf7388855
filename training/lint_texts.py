"""Words for the officer: what the linter of questions asks for, and the kinds of questions."""

from django.utils.translation import gettext_lazy as _

LINT_WORDS = {
    "E1": _("Exactly one option must be right by the rule itself."),
    "E2": _("Two options read the same."),
    "E3": _("Two options can both be true."),
    "E4": _("A wrong option has no named mistake."),
    "E5": _("A wrong value lies inside the tolerance."),
    "W5": _("A wrong value is far from the true one, so it is easy to rule out."),
    "E6": _("A value is not possible, or stands on an edge without need."),
    "E7": _("An option says all or none of the above."),
    "W8": _("The question asks for what is not so."),
    "E8": _("The question says no twice."),
    "W9": _("A word such as always stands in some options only."),
    "W10": _("The right option stands out by its length, unit or precision."),
    "E11": _("Number options are not in order."),
    "W11": _("The right number is always at the same place."),
    "W12": _("The right letters are not spread evenly."),
    "W13": _("A word or an ending leads from the question to the right option."),
    "E14": _("There is no question in it."),
    "W14": _("The question is longer than 40 words."),
    "E15": _("Units or languages do not agree."),
    "E16": _("One question gives the answer to another."),
    "W17": _("Too many questions have only two options."),
    "E18": _("The rule has no source, or an old one."),
    "W19": _("A rule comes twice in a paper."),
    "E20": _("The question is about an edition, a date or a name, not about the work."),
    "E21": _("A new try shows a question or an answer again."),
    "W21": _("The pool is too small for three papers."),
}

PATTERN_WORDS = {
    "choose-value": _("Choose the value"),
    "choose-all": _("Choose all that keep the rule"),
    "choose-band": _("Find the band and what it asks for"),
    "choose-practice": _("Choose the right practice"),
    "choose-slope": _("Turn a slope into another unit"),
    "compute": _("Work it out"),
    "find-fault": _("Find what is wrong"),
    "judge-area": _("Judge a contact area"),
    "judge-reading": _("Judge a reading"),
    "judge-slope": _("Judge a slope"),
    "pick-drawing": _("Pick the drawing"),
    "put-in-order": _("Put the acts in order"),
    "type-value": _("Type the value with its unit"),
}
