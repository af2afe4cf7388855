"""Make every question a rule book can ask, many times over, and look for faults; a grave one fails."""

from __future__ import annotations

import json
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from training import facts
from training.content import demo_rule_book, starter_qualification
from training.domain.errors import HeadlapError
from training.domain.json_reading import FileFaults
from training.domain.lint import RULES, Finding, lint
from training.domain.lint_papers import lint_draws
from training.domain.papers import Blueprint
from training.domain.qualification import Qualification, StepKind
from training.domain.questions import patterns_for
from training.domain.rules import RuleBook
from training.models import Company
from training.models.rules import qualification_in_force, rule_book_in_force
from training.texts import say

SHOWN = 20


class Command(BaseCommand):
    help = "Checks every kind of question of a rule book over many seeds, in both languages, and papers drawn from it."

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--book", type=Path, help="a rule book file; else the book of the demo")
        which.add_argument("--company", help="the rule book in force at the company with this name")
        parser.add_argument("--seeds", type=int, default=300, help="questions of each kind for each rule")
        parser.add_argument("--papers", type=int, default=40, help="papers to draw, each with a second try")
        parser.add_argument("--all", action="store_true", help="show every finding, not only the first ones")

    def handle(self, *args: Any, **options: Any) -> None:
        started = time.perf_counter()
        book, qualification = _asked(options)
        found = lint(book, [f"check-{seed}" for seed in range(options["seeds"])])
        found += self._papers(book, qualification, options["papers"])
        kinds = sum(len(patterns_for(rule, book)) for rule in book.rules)
        seconds = time.perf_counter() - started
        self.stdout.write(f"{book.product}: {len(book.rules)} rules, {kinds} kinds of question, ", ending="")
        self.stdout.write(f"{kinds * options['seeds']} questions in English and Spanish, {seconds:.0f} s")
        self._report(found, None if options["all"] else SHOWN)
        grave = sum(finding.grave for finding in found)
        if grave:
            raise CommandError(f"{grave} findings must be mended before this book is used.")
        self.stdout.write("Nothing grave.")

    def _papers(self, book: RuleBook, qualification: Qualification, papers: int) -> list[Finding]:
        """Faults of papers drawn to the quiz of the qualification, where the book has its topics."""
        step = qualification.first_of(StepKind.QUIZ)
        if step is None or not papers:
            return []
        seeds = [f"check-{paper}" for paper in range(papers)]
        try:
            return list(lint_draws(Blueprint.parse(step.blueprint), book, seeds))
        except HeadlapError as error:
            self.stdout.write(f"No papers: {say(error.message)}")
            return []

    def _report(self, found: Iterable[Finding], most: int | None) -> None:
        """How many of each, then the first ones, grave ones before the others."""
        ordered = sorted(found, key=lambda finding: (finding.number, finding.rule, finding.pattern))
        for number, times in Counter(finding.number for finding in ordered).items():
            self.stdout.write(f"{times:6} {number}: {RULES[number]}")
        for finding in ordered[:most]:
            place = " ".join(part for part in (finding.rule, finding.pattern, finding.seed, finding.language) if part)
            self.stdout.write(f"  {finding.number} {place}: {finding.detail}".replace("\u00a0", " "))
        if most is not None and len(ordered) > most:
            self.stdout.write(f"  and {len(ordered) - most} more; --all shows them")


def _asked(options: dict[str, Any]) -> tuple[RuleBook, Qualification]:
    """The book to check and the qualification whose quiz is drawn from it."""
    starter = Qualification.parse(starter_qualification())
    if options["book"]:
        return _read(options["book"]), starter
    if options["company"]:
        return _of_company(options["company"])
    return RuleBook.parse(demo_rule_book()), starter


def _read(path: Path) -> RuleBook:
    try:
        return RuleBook.parse(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise CommandError(f"{path} cannot be read: {error}") from error
    except FileFaults as refused:
        lines = [f"{fault.place}: {say(fault.message)}" for fault in refused.faults]
        raise CommandError("\n".join(lines)) from refused


def _of_company(name: str) -> tuple[RuleBook, Qualification]:
    company = Company.objects.filter(name=name).first()
    if company is None:
        raise CommandError("There is no such company.")
    try:
        today = timezone.localdate()
        book = facts.rule_book(rule_book_in_force(company, today))
        return book, facts.qualification(qualification_in_force(company, today))
    except HeadlapError as refused:
        raise CommandError(say(refused.message)) from refused
