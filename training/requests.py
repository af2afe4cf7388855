"""The request as views see it: with the actor and htmx's details that the middleware has put on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpRequest

if TYPE_CHECKING:
    from django_htmx.middleware import HtmxDetails

    from training.permissions import Actor


class Request(HttpRequest):
    """Only for annotations: no request is ever made from this class."""

    actor: Actor
    htmx: HtmxDetails
