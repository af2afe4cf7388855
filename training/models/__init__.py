"""Tables; their named reads are queryset methods beside them."""

from training.models.handson import Observation, SignOff
from training.models.imports import CrewImport
from training.models.material import Acknowledgement, Document, DocumentRevision, Section, SectionOpening
from training.models.people import (
    Appointment,
    Authority,
    Company,
    Crew,
    CrewMembership,
    Membership,
    Person,
    User,
)
from training.models.quizzes import Answer, Sitting
from training.models.register import Entry, RegisterHead
from training.models.rules import QualificationRevision, RuleBook, RuleBookRevision

__all__ = [
    "Acknowledgement",
    "Answer",
    "Appointment",
    "Authority",
    "Company",
    "Crew",
    "CrewImport",
    "CrewMembership",
    "Document",
    "DocumentRevision",
    "Entry",
    "Membership",
    "Observation",
    "Person",
    "QualificationRevision",
    "RegisterHead",
    "RuleBook",
    "RuleBookRevision",
    "Section",
    "SectionOpening",
    "SignOff",
    "Sitting",
    "User",
]
