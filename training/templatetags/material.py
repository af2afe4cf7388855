"""Section texts as pages: markdown without raw HTML, pictures or scripts, headings below the page's own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token

from training.models import Section

register = template.Library()

ALLOWED_LINKS = ("https://", "mailto:", "tel:")
DEEPEST_HEADING = 6


def _link_open(self: RendererHTML, tokens: Sequence[Token], index: int, options: Any, env: Any) -> str:
    tokens[index].attrSet("rel", "noopener noreferrer")
    return self.renderToken(tokens, index, options, env)


def _table_open(self: RendererHTML, tokens: Sequence[Token], index: int, options: Any, env: Any) -> str:
    return '<div class="rows-wrap" tabindex="0"><table class="rows rows-keep">\n'


def _table_close(self: RendererHTML, tokens: Sequence[Token], index: int, options: Any, env: Any) -> str:
    return "</table></div>\n"


def _reader() -> MarkdownIt:
    """CommonMark and tables; raw HTML is shown as text, and pictures are only those of the section itself."""
    found = MarkdownIt("commonmark", {"html": False}).enable("table")
    found.disable(["html_block", "html_inline", "image"])
    found.validateLink = lambda url: url.lower().startswith(ALLOWED_LINKS)  # type: ignore[method-assign]
    found.add_render_rule("link_open", _link_open)
    found.add_render_rule("table_open", _table_open)
    found.add_render_rule("table_close", _table_close)
    return found


_markdown = _reader()


@register.filter
def markdown(text: str, below: int = 1) -> SafeString:
    """A section's text as HTML; its first heading stands one level below heading level `below` of the page."""
    tokens = _markdown.parse(text)
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(int(token.tag[1]) + below, DEEPEST_HEADING)}"
    # The renderer escapes all text, and raw HTML is off: what comes out is its own tags only.
    return mark_safe(_markdown.renderer.render(tokens, _markdown.options, {}))


@register.filter
def text_in(section: Section, language: str) -> str:
    return section.text(language)


@register.filter
def title_in(section: Section, language: str) -> str:
    return section.title.get(language, section.title_en)


@register.filter
def alt_in(section: Section, language: str) -> str:
    return section.alt(language)


@register.filter
def has_pdf(section: Section, language: str) -> bool:
    return bool(section.file(language))


@register.filter
def pages_in(section: Section, language: str) -> int:
    return section.pages(language)
