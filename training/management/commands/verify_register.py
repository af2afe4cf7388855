"""Read every company's register from its first page and name what does not fit."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from training.models import Company
from training.verification import faults_of, guards_gone


class Command(BaseCommand):
    help = "Checks every register's chain, and that the working tables still say what the register says."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--company", help="only the company with this name")
        parser.add_argument("--expect", metavar="HASH", help="the last hash as printed earlier; needs --company")

    def handle(self, *args: Any, **options: Any) -> None:
        found = False
        companies = Company.objects.order_by("pk")
        if options["company"]:
            companies = companies.filter(name=options["company"])
        if not companies:
            raise CommandError("There is no such company.")
        for fault in guards_gone():
            found = True
            self.stderr.write(fault)
        for company in companies:
            report = faults_of(company, expect=options["expect"])
            for fault in report.faults:
                found = True
                self.stderr.write(f"{company.name}: {fault}")
            self.stdout.write(f"{company.name}: {report.pages} pages read, last hash {report.head}")
        if found:
            raise CommandError("The register was tampered with, or a working table no longer says what it says.")
        self.stdout.write("Nothing is wrong.")
