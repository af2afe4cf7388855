"""Small helpers of the page frame: the header's links and the addresses that may be missing."""

from django import forms, template
from django.forms import BoundField
from django.template import Context
from django.utils.safestring import SafeString

from training.navigation import Navigation, navigation, safe_reverse

register = template.Library()


@register.simple_tag(takes_context=True)
def nav(context: Context) -> Navigation:
    """The header's links for whoever is asking; works on pages that have no request."""
    request = context.get("request")
    return navigation(getattr(request, "actor", None), getattr(request, "path", ""))


@register.simple_tag
def address(route: str, *args: object) -> str:
    """The address of a route, or nothing when there is no such route."""
    return safe_reverse(route, *args)


@register.filter
def error_count(form: object) -> int:
    """How many things a form asks to have fixed."""
    return sum(len(errors) for errors in getattr(form, "errors", {}).values())


@register.filter
def label_at(heads: list[str], index: int) -> str:
    """The column label that belongs to a cell."""
    return heads[index] if index < len(heads) else ""


@register.filter
def control(field: BoundField) -> SafeString:
    """A form field's input alone, dressed like all the others: for filters, where the label stands beside it."""
    kind = "form-select" if isinstance(field.field.widget, forms.Select) else "form-control"
    return field.as_widget(attrs={"class": kind})
