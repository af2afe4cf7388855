"""What each kind of register entry says, in words."""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from training.domain.register import EntryKind

KIND_WORDS = {
    EntryKind.COMPANY_CREATED: _("Company entered"),
    EntryKind.COMPANY_CORRECTED: _("Company corrected"),
    EntryKind.OFFICER_APPOINTED: _("Safety officer appointed"),
    EntryKind.OFFICER_ENDED: _("Safety officer ended"),
    EntryKind.PERSON_ADDED: _("Person added"),
    EntryKind.PERSON_CORRECTED: _("Person corrected"),
    EntryKind.PHOTO_CHANGED: _("Photo changed"),
    EntryKind.MEMBERSHIP_STARTED: _("Employment began"),
    EntryKind.MEMBERSHIP_ENDED: _("Employment ended"),
    EntryKind.CREW_CREATED: _("Crew made"),
    EntryKind.CREW_CORRECTED: _("Crew corrected"),
    EntryKind.CREW_JOINED: _("Joined a crew"),
    EntryKind.CREW_LEFT: _("Left a crew"),
    EntryKind.IMPORT_CONFIRMED: _("Crew list brought in"),
    EntryKind.IMPORT_UNDONE: _("Crew list undone"),
    EntryKind.ACCESS_GIVEN: _("Sign-in given"),
    EntryKind.ACCESS_ENDED: _("Sign-in ended"),
    EntryKind.SECRET_CHANGED: _("PIN or password changed"),
    EntryKind.DOCUMENT_ISSUED: _("Document issued"),
    EntryKind.RULE_BOOK_ISSUED: _("Rule book issued"),
    EntryKind.REVISION_REQUIRED: _("Work asked for after a rule change"),
    EntryKind.QUALIFICATION_ISSUED: _("Qualification issued"),
    EntryKind.SECTION_ACKNOWLEDGED: _("Section read and acknowledged"),
    EntryKind.READING_COMPLETED: _("Document read to the end"),
    EntryKind.QUIZ_STARTED: _("Quiz started"),
    EntryKind.QUIZ_MARKED: _("Quiz marked"),
    EntryKind.DELTA_QUIZ_MARKED: _("Short quiz marked"),
    EntryKind.SIGN_OFF_SIGNED: _("Hands-on signed"),
    EntryKind.AUTHORITY_GRANTED: _("Authority to evaluate given"),
    EntryKind.AUTHORITY_ENDED: _("Authority to evaluate ended"),
    EntryKind.GRANTED: _("Qualification granted"),
    EntryKind.RENEWED: _("Qualification renewed"),
    EntryKind.WIDENED: _("Scopes added"),
    EntryKind.NARROWED: _("Scopes taken away"),
    EntryKind.SUSPENDED: pgettext_lazy("register", "Suspended"),
    EntryKind.RESTORED: _("Suspension lifted"),
    EntryKind.WITHDRAWN: _("Qualification withdrawn"),
    EntryKind.CARD_ISSUED: _("Card issued"),
    EntryKind.CARD_REPLACED: _("Card replaced"),
    EntryKind.ENTRY_VOIDED: _("Entry declared void"),
}

# What the officer does, as the words of a button.
DECISION_WORDS = {
    EntryKind.GRANTED: _("Grant"),
    EntryKind.RENEWED: _("Renew"),
    EntryKind.WIDENED: _("Add scopes"),
    EntryKind.NARROWED: _("Take scopes away"),
    EntryKind.SUSPENDED: _("Suspend"),
    EntryKind.RESTORED: _("Lift the suspension"),
    EntryKind.WITHDRAWN: _("Withdraw"),
}
