"""Makes the first company of an empty installation, and its safety officer's one-time sign-in."""

from __future__ import annotations

import sys
import zoneinfo
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from training.actions.access import SignIn, create_staff_user
from training.actions.people import appoint_officer, create_company
from training.actions.rules import issue_qualification
from training.content import starter_qualification
from training.domain.errors import HeadlapError
from training.permissions import Actor, actor_for
from training.texts import say

ASKED = {
    "company": "The company's name, as cards should show it",
    "officer": "The safety officer's full name",
    "sign_in": "The sign-in code that the officer will type, such as an e-mail address",
}


class Command(BaseCommand):
    help = "Make a company and its first safety officer, and print the officer's one-time sign-in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        for name, meaning in ASKED.items():
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name, default="", help=meaning)
        parser.add_argument("--place", default="", help="town and county")
        parser.add_argument("--time-zone", default="America/New_York", help="such as America/Chicago")
        parser.add_argument("--language", default="en", choices=["en", "es"])

    def handle(self, *args: Any, **options: Any) -> None:
        answers = {name: options[name].strip() or self._ask(name) for name in ASKED}
        if options["time_zone"] not in zoneinfo.available_timezones():
            raise CommandError(f"{options['time_zone']} is no time zone. Use one such as America/Chicago.")
        try:
            given = _create(**answers, place=options["place"], zone=options["time_zone"], language=options["language"])
        except HeadlapError as error:
            raise CommandError(str(say(error.message))) from error
        self.stdout.write(f"\nCompany: {answers['company']}\nSign in with: {given.user.login}")
        self.stdout.write(
            f"One-time password: {given.secret}\nIt is shown only now. The officer chooses a new one at once."
        )

    def _ask(self, name: str) -> str:
        """The answer typed by a person. Raises CommandError where nobody can type."""
        option = f"--{name.replace('_', '-')}"
        if not sys.stdin.isatty():
            raise CommandError(f'Not given: {ASKED[name]}. Add it: {option} "..."')
        answer = input(f"{ASKED[name]}: ").strip()
        return answer or self._ask(name)


@transaction.atomic
def _create(*, company: str, officer: str, sign_in: str, place: str, zone: str, language: str) -> SignIn:
    now = timezone.now()
    operator = Actor(now=now, language=language)
    made = create_company(by=operator, name=company, place=place, timezone=zone, language=language)
    given = create_staff_user(
        by=operator,
        company=made,
        login=sign_in,
        name=officer,
        email=sign_in if "@" in sign_in else "",
        language=language,
    )
    starts = now.astimezone(zoneinfo.ZoneInfo(zone)).date()
    appoint_officer(by=operator, company=made, user=given.user, starts=starts)
    officer_now = actor_for(given.user, now=now, language=language)
    issue_qualification(by=officer_now, content=starter_qualification(), effective_on=starts)
    return given
