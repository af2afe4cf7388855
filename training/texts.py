"""Sentences for the core's message keys, in the reader's language; the only place where keys become words."""

import datetime
from collections.abc import Mapping

from django.utils import formats, timezone
from django.utils.functional import Promise
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.domain.messages import Message
from training.domain.units import Measure
from training.domain.units import show as show_measure

TEXTS: dict[str, Promise | str] = {
    # access
    "access.officer_only": _("Only a safety officer can do this. Ask yours."),
    "access.evaluator_only": _("Only an evaluator with authority today can do this."),
    "access.person_only": _("This page is for people on a crew. Sign in as yourself."),
    "access.own_only": _("You can only see your own record."),
    "access.not_found": _("There is nothing here."),
    "access.no_company": _("Your sign-in is not tied to a company today. Ask your safety officer."),
    # material
    "material.slug_taken": _("“%(slug)s” is taken. Choose another short name."),
    "material.draft_open": _("Revision %(revision)s is still a draft. Finish that one first."),
    "material.issued": _("Revision %(revision)s is issued and never changes. Start a new draft."),
    "material.empty": _("There is no section yet. Add one first."),
    "material.no_text_en": _("“%(section)s” has no English text and no English PDF. Add one of them."),
    "material.no_text_es": _("“%(section)s” has no Spanish text and no Spanish PDF. Add one of them."),
    "material.no_alt_en": _("“%(section)s” has a picture. Say in English what it shows."),
    "material.no_alt_es": _("“%(section)s” has a picture. Say in Spanish what it shows."),
    "material.effective_before_last": _("The revision before is in force from %(date)s. Give that day or a later one."),
    "material.due_before_effective": _("People cannot be done before it is in force. Give %(date)s or a later day."),
    "material.language": _("Choose English or Spanish."),
    "material.not_in_force": _("This text has changed since. Read the new one."),
    "material.not_opened": _("Open this part first, then say that you have read it."),
    "material.too_soon": _("That was quick. Read on for %(seconds)s more seconds, then press the button again."),
    # uploads
    "upload.not_a_picture": _("This is not a picture we can use. Send a PNG, JPEG or WebP file."),
    "upload.picture_too_big": _("The picture is too large. Send one of %(megabytes)s MB or less."),
    "upload.picture_too_many_pixels": _("The picture has too many pixels. Make it smaller and send it again."),
    "upload.not_a_pdf": _("This is not a PDF that can be read. Save it as a PDF again and send that."),
    "upload.pdf_too_big": _("The PDF is too large. Send one of %(megabytes)s MB or less."),
    "upload.pdf_too_long": _("The PDF is too long. Send %(pages)s pages or fewer."),
    "upload.pdf_locked": _("The PDF has a password. Save it without one and send it again."),
    "upload.pdf_active": _("The PDF holds a script, another file or an action. Print it to a new PDF and send that."),
    # people
    "people.already_employed": _("This person is already employed on %(date)s. End that first."),
    "people.not_employed": _("This person is not employed today."),
    "people.ends_before_start": _("The last day cannot be before the first day, %(date)s."),
    "people.crew_exists": _("There is already a crew called %(name)s. Choose another name."),
    "people.crew_move_too_early": _("The move must come after the first day in %(crew)s, %(date)s."),
    "access.login_taken": _("The sign-in name %(login)s is taken. Choose another one."),
    "authority.no_scopes": _("Choose at least one scope."),
    "authority.ends_before_start": _("The last day cannot be before the first day, %(date)s."),
    "authority.already_ended": _("This authority already ended on %(date)s."),
    "qualification.none_in_force": _("No qualification is in force on %(date)s. Issue one first."),
    "rule_book.none_in_force": _("No rule book is in force on %(date)s. Issue one first."),
    # quiz
    "quiz.none_in_qualification": _("This qualification has no quiz."),
    "quiz.step_first": _("First finish this step: %(step)s."),
    "quiz.no_tries_left": _("All %(used)s tries are used. Talk to your safety officer."),
    "quiz.wait": _("The next try is open from %(date)s. Read the parts you missed until then."),
    "quiz.already_handed_in": _("This quiz is handed in. Its answers can no longer change."),
    "quiz.not_handed_in": _("This quiz is not handed in yet."),
    "quiz.no_such_question": _("There is no question %(n)s."),
    # hands-on
    "handson.none_in_qualification": _("This qualification has no hands-on."),
    "handson.not_member": _("This person was not employed on %(date)s."),
    "handson.step_first": _("On %(date)s this step was not done yet: %(step)s. It comes first."),
    "handson.no_tries_left": _("All %(used)s tries are used. Back to supervised work; talk to the safety officer."),
    "handson.wait": _("The next try is open from %(date)s."),
    "handson.other_evaluator": _("Another evaluator opened this checklist. Only they may fill and sign it."),
    "handson.already_signed": _("This hands-on is signed. It can no longer change."),
    "decision.changed_meanwhile": _(
        "Something about this person changed since you opened the page. Look again, then decide."
    ),
    "board.filter": _("The board cannot show this. Choose day, crew and scope again."),
    # register
    "register.future": _("%(date)s is in the future. Give the day it happened."),
    "register.clock": _("The clock went back. Set this machine's clock, then try again."),
}


def register_texts(texts: Mapping[str, Promise | str]) -> None:
    """Add the sentences of another package; a key may be given once."""
    twice = TEXTS.keys() & texts.keys()
    if twice:
        raise ValueError(f"message keys given twice: {sorted(twice)}")
    TEXTS.update(texts)


def say(message: Message) -> str:
    """The sentence for a message, in the active language."""
    text = TEXTS[message.key]
    return str(text) % {name: show(value) for name, value in message.values.items()}


def show(value: object) -> str:
    """A value as people read it: dates with the month in words, lists joined, messages said."""
    match value:
        case Message():
            return say(value)
        case datetime.datetime():
            return f"{day(timezone.localtime(value).date())} {timezone.localtime(value):%H:%M}"
        case datetime.date():
            return day(value)
        case list() | tuple() | set() | frozenset():
            return ", ".join(show(item) for item in value)
        case Measure():
            return show_measure(value, language(), metric=True)
        case Mapping() if {"en", "es"} <= set(value):
            return words(value)
        case _:
            return str(value)


def day(value: datetime.date) -> str:
    """4 Mar 2027 / 4 mar 2027: never all numbers, which two countries read two ways."""
    return formats.date_format(value, "j M Y")


def language() -> str:
    """The active language's base code: `en` or `es`."""
    return (get_language() or "en").split("-")[0]


def words(both: Mapping[str, str]) -> str:
    """The reader's language out of a text kept in both."""
    return both[language()] or both["en"]
