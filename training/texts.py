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
from training.question_texts import QUESTION_TEXTS
from training.rule_texts import RULE_TEXTS
from training.standing_texts import STANDING_TEXTS

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
    "material.too_soon": _("That was quick. Read on for %(seconds)s s more, then press the button again."),
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
    "officers.own": _("You cannot end your own appointment. Another officer does that."),
    "officers.already_ended": _("This appointment already ended on %(date)s."),
    "officers.ends_before_start": _("The last day cannot be before the first day, %(date)s."),
    "access.meanwhile": _("Somebody changed this at the same moment. Go back, look again, then decide."),
    "access.login_taken": _("The sign-in name %(login)s is taken. Choose another one."),
    "authority.no_scopes": _("Choose at least one scope."),
    "authority.ends_before_start": _("The last day cannot be before the first day, %(date)s."),
    "authority.already_ended": _("This authority already ended on %(date)s."),
    "qualification.none_in_force": _("No qualification is in force on %(date)s. Issue one first."),
    "rule_book.none_in_force": _("No rule book is in force on %(date)s. Issue one first."),
    # quiz
    "quiz.none_in_qualification": _("This qualification has no quiz."),
    "quiz.already_handed_in": _("This quiz is handed in. Its answers can no longer change."),
    "remark.not_later": _("Choose a later revision of the same book as the corrected one."),
    "remark.none_chosen": _("Tick at least one sitting."),
    "quiz_plan.past": _("A plan cannot count from a day in the past. Choose today or later."),
    "cut_score.not_a_number": _("“%(word)s” is no number from 0 to 100."),
    "practice.quiz_open": _("Your quiz is open. Hand it in first, then practise."),
    "practice.broken_link": _("This practice link is broken. Open practice again."),
    "quiz.not_handed_in": _("This quiz is not handed in yet."),
    "quiz.no_such_question": _("There is no question %(n)s."),
    # hands-on
    "handson.none_in_qualification": _("This qualification has no hands-on."),
    "handson.not_member": _("This person was not employed on %(date)s."),
    "handson.step_first": _("On %(date)s this step was not done yet: %(step)s. It comes first."),
    "handson.no_tries_left": _("All %(used)s tries are used. Pass the quiz again, then there are new tries."),
    "handson.wait": _("The next try is open from %(date)s."),
    "handson.other_evaluator": _("Another evaluator opened this checklist. Only they may fill and sign it."),
    "handson.already_signed": _("This hands-on is signed. It can no longer change."),
    "decision.changed_meanwhile": _(
        "Something about this person changed since you opened the page. Look again, then decide."
    ),
    "board.not_held": _("May work, but not in this: %(scopes)s."),
    "board.filter": _("The board cannot show this. Choose day, crew and scope again."),
    # rules, questions, units
    "units.not_a_number": _("“%(text)s” is not a measure we can read. Write it like %(example)s."),
    "units.unknown_unit": _("We do not know the unit in “%(text)s”. Write it like %(example)s."),
    "units.wrong_kind": _("“%(text)s” has a unit of another kind. Write it like %(example)s."),
    "units.impossible": _("“%(text)s” cannot be. Check the number and the unit, like %(example)s."),
    "units.slope_in_12": _("Write the slope as its rise in 12, like %(example)s."),
    "units.unclear_comma": _("“%(text)s” can be read two ways. Write a point for parts, and no comma."),
    "judge.inside": _("%(reading)s is within the limit: %(limit)s."),
    "judge.too_low": _("%(reading)s is too low. The limit is %(limit)s."),
    "judge.too_high": _("%(reading)s is too high. The limit is %(limit)s."),
    "question.no_such_option": _("Choose one of the answers shown."),
    "question.each_once": _("Give each line its own place in the order."),
    "question.no_such_pattern": _("There is no kind of question called “%(pattern)s”."),
    "question.does_not_fit": _("The rule “%(rule)s” cannot be asked as “%(pattern)s”."),
    "question.not_one_right": _("A question on “%(rule)s” has %(found)s right answers. Mend the rule's named errors."),
    "blueprint.topics_do_not_add_up": _(
        "The topics ask for %(asked)s questions but the quiz has %(questions)s. Make them equal."
    ),
    "blueprint.more_than_questions": _("%(number)s is more than the %(questions)s questions. Make it smaller."),
    "blueprint.topic_too_small": _(
        "“%(topic)s” has %(have)s rules to ask about, but %(wanted)s are wanted. Ask for fewer or add rules."
    ),
    "blueprint.too_few_critical": _(
        "At most %(have)s critical questions fit, but %(wanted)s are wanted. Ask for fewer or change the topics."
    ),
    "blueprint.cannot_be_filled": _(
        "No quiz of %(questions)s questions with %(critical)s critical ones fits these limits. Loosen one of them."
    ),
    "checklist.no_scopes": _("Choose at least one scope to be shown."),
    "checklist.no_such_item": _("There is no item %(item)s on this checklist."),
    "checklist.yes_or_no": _("Answer item %(item)s with yes or no."),
    "checklist.rating_0_1_2": _("Rate item %(item)s with 0, 1 or 2."),
    "checklist.needs_reading": _("Give item %(item)s a measured value with its unit."),
    "checklist.too_many_values": _("Item %(item)s takes at most %(repeat)s values."),
    "checklist.needs_reason": _("Say why item %(item)s does not apply."),
    "checklist.always_applies": _("Item %(item)s applies on every roof. It cannot be left out."),
    "checklist.still_open": _("Still open in these parts: %(parts)s. Fill them in first."),
    "checklist.done": _("Done."),
    "checklist.not_done": _("Not done."),
    "checklist.rating_good": _("Good enough."),
    "checklist.rating_low": _("Not good enough."),
    "checklist.failed_stop": _("This stopped the hands-on. Not good: %(act)s"),
    "checklist.failed_critical": _("This must be good and was not, %(good)s good of %(need)s needed: %(act)s"),
    "checklist.share_low": _("%(share)s%% of the points; %(needed)s%% are needed."),
    "checklist.nothing_left": _("Every scope was left out, so nothing was shown."),
    "rule_book.no_such_rule": _("This rule book has no rule “%(rule)s”."),
    "rule_book.no_such_topic": _("This rule book has no topic “%(topic)s”."),
    # files that are read
    "file.faults": _("%(place)s: %(fault)s (%(count)s to mend in this file.)"),
    "file.not_an_object": _("Something in braces { } is expected here."),
    "file.not_a_list": _("A list in square brackets is expected here."),
    "file.unknown_field": _("“%(field)s” means nothing here. Known are: %(known)s."),
    "file.missing": _("“%(field)s” is missing. Add it."),
    "file.missing_text": _("“%(field)s” needs its text in each language: %(languages)s."),
    "file.missing_language": _("The text for “%(language)s” is missing. Add it."),
    "file.unknown_language": _("“%(language)s” is not used here. Known are: %(languages)s."),
    "file.bad_key": _("“%(given)s” cannot be a key. Use letters, digits and dashes, no spaces."),
    "file.key_twice": _("The key “%(key)s” comes twice. Give one of them another key."),
    "file.unknown_choice": _("“%(given)s” is not one of these: %(known)s."),
    "file.not_yes_no": _("“%(given)s” must be true or false."),
    "file.not_whole": _("“%(given)s” must be a whole number, %(least)s or more."),
    "file.not_a_number": _("“%(given)s” is no number. Write it in quotes, like “3/4”, “1 1/2” or “0.02”."),
    "file.impossible": _("%(given)s %(unit)s cannot be. Check the number and the unit."),
    "file.unknown_unit": _("The unit “%(given)s” is not known. Known are: %(known)s."),
    "file.number_in_sentence": _(
        "A number is typed into the sentence: %(number)s. Use {value} or another named number."
    ),
    "file.numbers_differ": _("The numbers in “%(language)s” are not the same as in English."),
    "file.unknown_part": _("{%(part)s} is not a number of this rule. Known are: %(known)s."),
    "file.too_many": _("This number is too large. Use %(most)s or less."),
    "file.too_long": _("This text is too long. Use %(most)s characters or fewer."),
    "file.bad_braces": _("The braces { } in this sentence do not match."),
    "book.no_rules": _("The book has no rules. Add one."),
    "book.no_value": _("The value is missing. Take it from the product's own sheet."),
    "book.no_source": _("The source is missing. Say where the value comes from."),
    "book.no_citation": _("Name the law or standard with its clause."),
    "book.no_page": _("Name the revision and the page of the product sheet."),
    "book.tolerance_negative": _("A tolerance cannot be below zero."),
    "book.low_above_high": _("The lowest value %(low)s is not below the highest, %(high)s."),
    "book.few_errors": _("%(least)s common errors are needed and %(found)s given. Name more."),
    "book.error_is_right": _("This error gives the right answer. Change its value or text."),
    "book.error_other_kind": _("This error has a unit of another kind than the rule."),
    "book.no_right": _("The right practice is missing. Write it as an answer."),
    "book.few_acts": _("At least %(least)s acts are needed for an order."),
    "book.few_bands": _("At least %(least)s bands are needed."),
    "book.band_empty": _("This band asks for nothing. Give it a value or a text."),
    "book.band_without_end": _("Only the last band may be open. Say up to where this one goes."),
    "book.bands_out_of_order": _("The band ends at %(upto)s but starts at %(before)s. Put the bands from low to high."),
    "book.bands_overlap": _("The band starts at %(start)s but the one before ends at %(before)s. They overlap."),
    "book.bands_gap": _("The band starts at %(start)s but the one before ends at %(before)s. Nothing covers the gap."),
    "book.no_by_quantity": _("Name what decides between the bands."),
    "book.item_rule_unknown": _("The book has no rule “%(rule)s”. Correct its key."),
    "book.item_needs_limit": _("A measured item needs a rule with a number. “%(rule)s” has none."),
    "book.need_above_repeat": _("%(need)s good ones of %(repeat)s cannot be reached. Lower the need."),
    # names, telephones and dates as typed
    "name.blank": _("A name is missing here. Type it."),
    "name.too_long": _("This name has %(length)s signs. At most %(longest)s fit. Shorten it."),
    "name.bidi": _("There is a hidden sign %(character)s in this name. Delete the name and type it again."),
    "name.control": _("There is a hidden sign %(character)s in this name. Delete the name and type it again."),
    "name.emoji": _("%(character)s is a picture, not a letter. Take it out of the name."),
    "name.digits": _("%(character)s is a digit. A name has letters only."),
    "name.script": _("%(character)s cannot be printed on a card. Write the name in Latin, Greek or Cyrillic letters."),
    "name.symbol": _("%(character)s does not belong in a name. Take it out."),
    "phone.unreadable": _("“%(typed)s” is not a telephone number. Type it like %(example)s."),
    "phone.two": _("There are two numbers here: “%(typed)s”. Keep one of them."),
    "phone.no_area_code": _("“%(typed)s” has no area code. Type it like %(example)s."),
    "phone.too_short": _("“%(typed)s” has too few digits. Type it like %(example)s."),
    "phone.too_long": _("“%(typed)s” has too many digits. Type it like %(example)s, or with + and the country."),
    "date.unreadable": _("“%(typed)s” is not a date. Type it like 4 Mar 2020."),
    "date.impossible": _("There is no such day: “%(typed)s”. Check day and month."),
    "date.ambiguous": _(
        "“%(typed)s” could be %(one)s or %(other)s. Type the month as a word, or say above how dates are written."
    ),
    "date.year_only": _("“%(typed)s” is only a year. Add day and month."),
    "date.future": _("“%(typed)s” reads as %(found)s. That is in the future."),
    "date.too_early": _("“%(typed)s” reads as %(found)s. That is too long ago."),
    # sheets
    "sheet.too_large": _("The file has %(size)s MB. At most %(limit)s MB can be read. Send only the crew list."),
    "sheet.empty": _("There is nothing in this file. Choose the file with your crew list."),
    "sheet.protected": _("This file has a password. Save it without one, then send it again."),
    "sheet.old_excel": _("This is an old kind of spreadsheet. Save it as .xlsx or .csv, then send it again."),
    "sheet.macros": _("This file holds macros. Save it as a plain .xlsx without macros, then send it again."),
    "sheet.damaged": _("This file cannot be read. Open it, save it as .xlsx or .csv, then send it again."),
    "sheet.unpacks_too_large": _(
        "This file would unpack to more than %(limit)s MB. Copy the crew list to a new file and send that."
    ),
    "sheet.wrong_type": _("This is not a spreadsheet we can read. Send an .xlsx or a .csv file."),
    "sheet.too_many_rows": _("There are more than %(limit)s rows. Split the list into smaller files."),
    "sheet.too_many_columns": _(
        "There is something beyond column %(limit)s. Keep only the crew list and send it again."
    ),
    # crew list
    "crewlist.field.given": _("given names"),
    "crewlist.field.middle": _("middle name"),
    "crewlist.field.family": _("family names"),
    "crewlist.field.second_family": _("second family name"),
    "crewlist.field.full": _("full name"),
    "crewlist.field.phone": _("telephone"),
    "crewlist.field.language": _("language"),
    "crewlist.field.crew": _("crew"),
    "crewlist.field.hired": _("first day of employment"),
    "crewlist.field.born": _("date of birth"),
    "crewlist.field.number": _("employee number"),
    "crewlist.field.email": _("e-mail"),
    "crewlist.kind.phone": _("a telephone number"),
    "crewlist.kind.date": _("a date"),
    "crewlist.kind.email": _("an e-mail address"),
    "crewlist.kind.language": _("a language"),
    "crewlist.kind.number": _("a number"),
    "crewlist.kind.name": _("a name"),
    "crewlist.language.en": _("English"),
    "crewlist.language.es": _("Spanish"),
    "crewlist.column.not_kept": _("Column %(column)s (%(header)s) is left out. Headlap must not keep such data."),
    "crewlist.column.looks_like": _(
        "Column %(column)s (%(header)s) should hold: %(field)s. Most of its cells look like %(looks)s. Check it."
    ),
    "crewlist.column.dates_turned": _(
        "Column %(column)s (%(header)s): some dates may have day and month the wrong way round. "
        "A spreadsheet set to another country does that. Check a few dates you know."
    ),
    "crewlist.columns.twice": _("Two columns are chosen for: %(field)s. Keep one of them."),
    "crewlist.columns.no_name": _("No column holds names. Choose the column with the names."),
    "crewlist.columns.full_and_parts": _("Choose either the full name, or given and family names. Not both."),
    "crewlist.columns.swapped": _(
        "Columns %(column)s and %(other)s look exchanged. Column %(column)s (%(header)s) should hold: %(field)s. "
        "Its cells look like %(looks)s."
    ),
    "crewlist.columns.names_swapped": _(
        "Columns %(one)s and %(other)s look exchanged: the family names look like given names."
    ),
    "crewlist.cell.looks_like": _("This looks like %(looks)s. Here goes: %(field)s. Is it in the wrong column?"),
    "crewlist.cell.too_long": _("This has %(length)s signs. At most %(longest)s fit. Shorten it."),
    "crewlist.cell.control": _("There is a hidden sign in this cell. Type it again."),
    "crewlist.cell.formula_error": _("The spreadsheet shows an error here: %(typed)s. Type what belongs here."),
    "crewlist.name.missing": _("There is no name in this row. Type it, or leave the row out."),
    "crewlist.name.one": _("There is only one name. Check that nothing is missing."),
    "crewlist.name.split": _("Read as given names: %(given)s; family names: %(family)s. Check this."),
    "crewlist.phone.doubtful": _("“%(typed)s” has an area code we do not know. Check it."),
    "crewlist.language.both": _("Both languages are named. We take %(chosen)s; the person can change it."),
    "crewlist.language.unknown": _("“%(typed)s” is not English or Spanish. Type one of them."),
    "crewlist.hired.before_birth": _("Employment starts before the birth on %(born)s. Check both dates."),
    "crewlist.born.too_young": _("Born on %(born)s is only %(age)s years old. Check the date."),
    "crewlist.born.under_age": _(
        "%(age)s years old. Federal law asks for %(limit)s on a roof; apprentices may be an exception. Check first."
    ),
    "crewlist.email.unreadable": _("“%(typed)s” is not an e-mail address. Type it again, or leave it empty."),
    "crewlist.crew.near": _("“%(crew)s” would be a new crew. Is it the same as “%(other)s”? If so, correct the rows."),
    "crewlist.plan.faults": _("Rows with something to put right: %(rows)s."),
    "crewlist.plan.doubles": _("Rows that may repeat somebody, with no choice made: %(rows)s."),
    "crewlist.plan.nobody": _("With these choices nobody would be added. Choose at least one new person."),
    "crewlist.double.same_name": _("same name"),
    "crewlist.double.swapped_names": _("same names in another order"),
    "crewlist.double.part_of_name": _("part of the same name"),
    "crewlist.double.close_spelling": _("almost the same name"),
    "crewlist.double.same_phone": _("same telephone"),
    "crewlist.double.same_email": _("same e-mail"),
    "crewlist.double.same_number": _("same employee number"),
    "crewlist.double.same_birth": _("same date of birth"),
    "crewlist.confirmed": _("This list is already in the record. Its rows can no longer change here."),
    "crewlist.not_confirmed": _("This list was never brought in, so there is nothing to undo."),
    "crewlist.undone": _("This list was undone. Upload it again to use it."),
    "crewlist.undo_rests": _(
        "This list can no longer be undone: something rests on it. %(person)s, %(date)s: %(kind)s. "
        "End employment on the person's page instead."
    ),
    # register
    "register.future": _("%(date)s is in the future. Give the day it happened."),
    "register.clock": _("The clock went back. Set this machine's clock, then try again."),
}
TEXTS |= STANDING_TEXTS | RULE_TEXTS | QUESTION_TEXTS


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
    month = "M" if language() == "en" else "b"  # only English writes its months with a capital
    return formats.date_format(value, f"j {month} Y")


def language() -> str:
    """The active language's base code: `en` or `es`."""
    return (get_language() or "en").split("-")[0]


def words(both: Mapping[str, str]) -> str:
    """The reader's language out of a text kept in both."""
    return both[language()] or both["en"]
