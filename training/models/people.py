"""Who employs, who works together, the human being; every tie is dated and never overwritten."""

from __future__ import annotations

import datetime

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound

LANGUAGES = [("en", "English"), ("es", "Español")]


def open_on(day: datetime.date, prefix: str = "") -> Q:
    """Rows whose dated span holds `day`; the last day counts, no end means it goes on."""
    return Q(**{f"{prefix}starts__lte": day}) & (
        Q(**{f"{prefix}ends__isnull": True}) | Q(**{f"{prefix}ends__gte": day})
    )


def span_is_forward(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name=name)


class Company(models.Model):
    """An employer: the one who keeps a record and issues cards. Two companies never see each other's rows."""

    name = models.CharField(_("name"), max_length=80, unique=True)
    place = models.CharField(_("town and county"), max_length=80, blank=True)
    phone = models.CharField(_("telephone"), max_length=30, blank=True)
    region = models.CharField(_("country for telephone numbers"), max_length=2, default="US")
    timezone = models.CharField(_("time zone"), max_length=40, default="America/New_York")
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES, default="en")

    def __str__(self) -> str:
        return self.name


class UserManager(BaseUserManager["User"]):
    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(login=(username or "").strip().lower())


class User(AbstractBaseUser):
    """A sign-in. Applicators need no e-mail address: a code and a PIN are enough."""

    login = models.CharField(_("sign-in code"), max_length=60, unique=True)
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail"), blank=True)
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES, default="en")
    is_active = models.BooleanField(_("may sign in"), default=True)
    must_change_secret = models.BooleanField(default=False)

    objects = UserManager()

    USERNAME_FIELD = "login"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name


class AppointmentQuerySet(models.QuerySet["Appointment"]):
    def on(self, day: datetime.date) -> AppointmentQuerySet:
        return self.filter(open_on(day))


class Appointment(models.Model):
    """A user is a safety officer of a company from one day to another."""

    user = models.ForeignKey(User, models.PROTECT, related_name="appointments")
    company = models.ForeignKey(Company, models.PROTECT, related_name="appointments")
    starts = models.DateField(_("from"))
    ends = models.DateField(_("last day"), null=True, blank=True)

    objects = AppointmentQuerySet.as_manager()

    class Meta:
        constraints = [span_is_forward("appointment_span_forward")]

    def on(self, day: datetime.date) -> bool:
        """Whether it runs on a day."""
        return self.starts <= day and (self.ends is None or day <= self.ends)

    def __str__(self) -> str:
        return f"{self.user} · {self.company}"


class PersonQuerySet(models.QuerySet["Person"]):
    def of(self, company: Company) -> PersonQuerySet:
        """The company's people; those of an undone import stay in the register but are nobody's list."""
        return self.filter(company=company, source__undone_at__isnull=True)

    def employed_on(self, day: datetime.date) -> PersonQuerySet:
        held = Membership.objects.filter(open_on(day), person=models.OuterRef("pk"))
        return self.filter(models.Exists(held))

    def in_crew(self, crew: Crew, day: datetime.date) -> PersonQuerySet:
        held = CrewMembership.objects.filter(open_on(day), person=models.OuterRef("pk"), crew=crew)
        return self.filter(models.Exists(held))

    def by_name(self) -> PersonQuerySet:
        return self.order_by("sort_key", "pk")

    def matching(self, text: str) -> PersonQuerySet:
        from training.domain.names import fold

        found = self
        for word in fold(text).split()[:5]:
            found = found.filter(Q(sort_key__contains=word) | Q(code__iexact=word))
        return found

    def with_ties(self) -> PersonQuerySet:
        return self.prefetch_related("crew_memberships__crew", "memberships")


class Person(models.Model):
    """A human being in one company's record. Nobody's immigration or social security data is kept."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="people")
    user = models.OneToOneField(User, models.PROTECT, null=True, blank=True, related_name="person")
    code = models.CharField(_("person code"), max_length=12, unique=True)
    given_names = models.CharField(_("given names"), max_length=60)
    family_names = models.CharField(_("family names"), max_length=60, blank=True)
    sort_key = models.CharField(max_length=250, db_index=True, editable=False)
    phone = models.CharField(_("telephone"), max_length=30, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES, default="en")
    born = models.DateField(_("date of birth"), null=True, blank=True)
    employee_number = models.CharField(_("employee number"), max_length=30, blank=True)
    photo = models.ImageField(_("photo"), upload_to="photos/", blank=True)
    source = models.ForeignKey("training.CrewImport", models.PROTECT, null=True, blank=True, related_name="people")

    objects = PersonQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["company", "sort_key"])]

    def __str__(self) -> str:
        return self.full_name

    @property
    def full_name(self) -> str:
        return f"{self.given_names} {self.family_names}".strip()

    @property
    def initials(self) -> str:
        from training.domain.names import initials

        return initials(self.given_names, self.family_names)

    def crew_on(self, day: datetime.date) -> Crew | None:
        """The crew on a day, from prefetched rows (no query after `with_ties`)."""
        return next((tie.crew for tie in self.crew_memberships.all() if tie.holds(day)), None)

    def employed_on(self, day: datetime.date) -> bool:
        return any(tie.holds(day) for tie in self.memberships.all())


class Dated(models.Model):
    """A tie with a first and a last day."""

    starts = models.DateField(_("from"))
    ends = models.DateField(_("last day"), null=True, blank=True)

    class Meta:
        abstract = True

    def holds(self, day: datetime.date) -> bool:
        return self.starts <= day and (self.ends is None or day <= self.ends)


class Membership(Dated):
    """A person is employed by the company from one day to another; a rehire is a second row."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")

    class Meta:
        ordering = ["starts"]
        constraints = [span_is_forward("membership_span_forward")]


class CrewQuerySet(models.QuerySet["Crew"]):
    def of(self, company: Company) -> CrewQuerySet:
        return self.filter(company=company).order_by("name")

    def with_size(self, day: datetime.date) -> CrewQuerySet:
        counted = open_on(day, "memberships__") & Q(memberships__person__source__undone_at__isnull=True)
        return self.annotate(size=models.Count("memberships", filter=counted))


class Crew(models.Model):
    """People who work together."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="crews")
    name = models.CharField(_("name"), max_length=60)

    objects = CrewQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["company", "name"], name="crew_name_once")]

    def __str__(self) -> str:
        return self.name


class CrewMembership(Dated):
    """A person works in a crew from one day to another."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="crew_memberships")
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="memberships")

    class Meta:
        ordering = ["starts"]
        constraints = [span_is_forward("crew_membership_span_forward")]


class AuthorityQuerySet(models.QuerySet["Authority"]):
    def of(self, company: Company) -> AuthorityQuerySet:
        return self.filter(company=company).select_related("person").order_by("-starts", "pk")

    def on(self, day: datetime.date) -> AuthorityQuerySet:
        return self.filter(open_on(day))


class Authority(Dated):
    """A person may sign off hands-on work for the named scopes, inside these dates."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="authorities")
    person = models.ForeignKey(Person, models.PROTECT, related_name="authorities")
    scopes = models.JSONField(default=list)
    basis = models.CharField(_("why this person may evaluate"), max_length=300)

    objects = AuthorityQuerySet.as_manager()

    class Meta:
        constraints = [span_is_forward("authority_span_forward")]


def people_of(company: Company) -> PersonQuerySet:
    return Person.objects.of(company)


def person_of(company: Company | None, pk: int) -> Person:
    """One of the company's people, ties at hand; anybody else's does not exist."""
    found = Person.objects.of(company).with_ties().filter(pk=pk).first() if company else None
    if found is None:
        raise NotFound("access.not_found")
    return found


def crews_of(company: Company) -> CrewQuerySet:
    return Crew.objects.of(company)


def authorities_of(company: Company) -> AuthorityQuerySet:
    return Authority.objects.of(company)


def authority_of(company: Company, pk: int) -> Authority:
    found = Authority.objects.of(company).filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def demo_code(given_names: str, family_names: str) -> str:
    """The sign-in code of one of the demo's people."""
    found = Person.objects.filter(given_names=given_names, family_names=family_names).first()
    return found.code.lower() if found else "?"


def appointments_of(company: Company) -> AppointmentQuerySet:
    return Appointment.objects.filter(company=company).select_related("user").order_by("ends", "-starts", "pk")


def appointment_of(company: Company, pk: int) -> Appointment:
    found = appointments_of(company).filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found
