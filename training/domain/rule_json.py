"""Reads a rule book from its JSON form, `headlap-rule-book/1`, and names every fault in it."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from training.domain.json_reading import Fault, FileFaults, Node
from training.domain.rule_errors import check_errors, read_errors, settle
from training.domain.rule_hints import CALCULATIONS, check_hints, read_sketch, with_neighbours
from training.domain.rules import (
    NUMERIC,
    PRACTICE,
    Act,
    Band,
    CheckItem,
    Limits,
    Operator,
    Rule,
    RuleBook,
    Source,
    Topic,
)
from training.domain.units import Measure

FORMAT = "headlap-rule-book/1"
SOURCE_KINDS = ("law or standard", "product sheet", "common practice", "company")
PRODUCT_KINDS = ("one-component", "two-component")
ITEM_KINDS = ("yes_no", "rating", "measured")
WEIGHTS = ("normal", "critical", "stop")
FEWEST_TEXT_ERRORS = 2

MOST_READINGS = 60
"""Readings of one act on a checklist: more than anybody takes in a day, and few enough for a page."""
LONGEST_PRODUCT = 80
_BOOK = ("format", "product", "topics", "rules", "checklist")
_RULE = ("key", "topic", "operator", "quantity", "unit", "value", "low", "high", "bands", "by", "by_quantity",
         "tolerance", "applies", "text", "why", "goes_wrong", "critical", "errors", "right", "acts", "ask",
         "numbers", "source", "usual", "confused_with", "calculation", "drawing")  # fmt: skip
_ITEM = ("key", "group", "act", "type", "rule", "repeat", "need", "in_a_row", "weight", "least", "scopes")


class BookFaults(FileFaults):
    """A rule book that cannot be used, with the place and remedy of each fault."""


def join_books(parts: Iterable[Mapping[str, object]]) -> dict[str, object]:
    """One book from files that each hold part of it: lists are joined in order, other fields come from the first."""
    book: dict[str, object] = {}
    for part in parts:
        for name, given in part.items():
            held = book.get(name)
            book[name] = (
                [*held, *given] if isinstance(held, list) and isinstance(given, list) else book.get(name, given)
            )
    return book


def read_book(data: object, *, draft: bool = False) -> RuleBook:
    """The book in `data`; raises `BookFaults`. A draft may lack values, errors and sources."""
    faults: list[Fault] = []
    root = Node(data, "", faults)
    root.only(_BOOK)
    root.one_of("format", [FORMAT])
    product = Node(root.data.get("product"), "product", faults)
    topics = tuple(Topic(node.key(), node.text("title")) for node in root.nodes("topics", ("key", "title")))
    known = {topic.key for topic in topics}
    nodes = root.nodes("rules", _RULE)
    rules = with_neighbours(settle([_rule(node, known, draft) for node in nodes]))
    by_key = {rule.key: rule for rule in rules}
    for rule, node in zip(rules, nodes, strict=True):
        _check(rule, by_key, node, draft)
        check_hints(rule, by_key, node)
    if not rules:
        root.fault("book.no_rules", "rules")
    numeric = {rule.key: rule.numeric for rule in rules}
    items = tuple(_item(node, numeric) for node in root.nodes("checklist", _ITEM))
    name = product.string("name")
    if len(name) > LONGEST_PRODUCT:
        product.fault("file.too_long", "name", most=LONGEST_PRODUCT)
    book = RuleBook(name, product.one_of("kind", PRODUCT_KINDS), topics, rules, items)
    if faults:
        raise BookFaults(faults)
    return book


# --- a rule -------------------------------------------------------------------------------------------------


def _rule(node: Node, topics: set[str], draft: bool) -> Rule:
    operator = Operator(node.one_of("operator", [operator.value for operator in Operator]))
    topic = node.one_of("topic", sorted(topics) or [""])
    unit = node.unit("unit") if operator in NUMERIC else node.unit("unit", "")
    numbers = _numbers(node)
    value, low, high = (node.measure(name, unit) for name in ("value", "low", "high"))
    given = {"value": value, "low": low, "high": high, "tolerance": node.data.get("tolerance")}
    parts = {*numbers, *(name for name, number in given.items() if draft or number is not None)}
    by = node.unit("by") if operator is Operator.BANDS else ""
    return Rule(
        key=node.key(), topic=topic, operator=operator, quantity=node.text("quantity"),
        text=node.text("text", parts), why=node.text("why", parts), critical=node.flag("critical"),
        errors=read_errors(node, unit, parts), unit=unit, value=value, low=low, high=high,
        bands=_bands(node, by, unit, numbers, draft), by=by, by_quantity=node.maybe_text("by_quantity"),
        tolerance=node.number("tolerance") or Fraction(0), applies=_applies(node),
        goes_wrong=node.maybe_text("goes_wrong", parts), ask=node.maybe_text("ask", parts),
        right=node.maybe_text("right", parts), acts=_acts(node), numbers=numbers,
        source=_source(node, draft), usual=_usual(node, unit), confused_with=node.words("confused_with"),
        calculation=node.one_of("calculation", ("", *CALCULATIONS), ""), sketch=read_sketch(node),
    )  # fmt: skip


def _numbers(node: Node) -> dict[str, Measure]:
    """Further numbers of a rule, named, for its sentences: {"nails": {"value": "2", "unit": "nail"}}."""
    found: dict[str, Measure] = {}
    for name, given in node.mapping("numbers").items():
        part = Node(given, f"{node.place}.numbers.{name}", node.faults)
        part.only(("value", "unit"))
        number = part.measure("value", part.unit("unit"))
        if number is None:
            part.fault("book.no_value", "value")
        else:
            found[name] = number
    return found


def _acts(node: Node) -> tuple[Act, ...]:
    acts = []
    for item in node.nodes("acts", ("key", "en", "es")):
        words = Node(
            {"text": {name: said for name, said in item.data.items() if name != "key"}}, item.place, node.faults
        )
        acts.append(Act(item.key(), words.text("text")))
    return tuple(acts)


def _applies(node: Node) -> dict[str, tuple[str, ...]]:
    given = Node(node.mapping("applies"), f"{node.place}.applies", node.faults)
    return {family: given.words(family) for family in given.data}


def _usual(node: Node, unit: str) -> Limits:
    if not node.has("usual"):
        return Limits()
    usual = Node(node.data["usual"], f"{node.place}.usual", node.faults)
    usual.only(("low", "high"))
    return Limits(usual.measure("low", unit), usual.measure("high", unit))


def _source(node: Node, draft: bool) -> Source | None:
    if not node.has("source"):
        if not draft:
            node.fault("book.no_source", "source")
        return None
    given = Node(node.data["source"], f"{node.place}.source", node.faults)
    given.only(("kind", "citation", "revision", "page"))
    source = Source(
        given.one_of("kind", SOURCE_KINDS),
        *(given.string(name, "") for name in ("citation", "revision", "page")),
    )
    if source.kind == SOURCE_KINDS[0] and not source.citation:
        given.fault("book.no_citation", "citation")
    if source.kind == SOURCE_KINDS[1] and not draft and not (source.revision and source.page):
        given.fault("book.no_page", "page")
    return source


# --- bands --------------------------------------------------------------------------------------------------


def _bands(node: Node, by: str, unit: str, numbers: Iterable[str], draft: bool) -> tuple[Band, ...]:
    """Bands follow each other from low to high without gap or overlap; only the last may have no upper end.

    A draft may lack the ends.
    """
    items = node.nodes("bands", ("from", "from_closed", "upto", "closed", "value", "text"), label="")
    bands: list[Band] = []
    for number, item in enumerate(items, 1):
        before = bands[-1] if bands else None
        upto = item.measure("upto", by)
        _check_ends(item, before, upto, by, may_be_open=draft or number == len(items))
        bands.append(
            Band(
                above=before.upto if before else item.measure("from", by),
                includes_above=not before.closed if before else item.flag("from_closed", True),
                upto=upto,
                closed=item.flag("closed", True),
                value=item.measure("value", unit),
                text=item.maybe_text("text", {"value", *numbers}),
            )
        )
    return tuple(bands)


def _check_ends(item: Node, before: Band | None, upto: Measure | None, by: str, *, may_be_open: bool) -> None:
    if upto is None and not may_be_open:
        item.fault("book.band_without_end", "upto")
    start = item.measure("from", by)
    floor = before.upto if before else start
    if upto is not None and floor is not None and upto <= floor:
        item.fault("book.bands_out_of_order", "upto", upto=upto, before=floor)
    if before is None or before.upto is None or start is None:
        return
    closed = item.flag("from_closed", not before.closed)
    if start < before.upto or (start == before.upto and closed and before.closed):
        item.fault("book.bands_overlap", "from", start=start, before=before.upto)
    elif start > before.upto or not (closed or before.closed):
        item.fault("book.bands_gap", "from", start=start, before=before.upto)


# --- what a whole rule needs --------------------------------------------------------------------------------


def _check(rule: Rule, known: Mapping[str, Rule], node: Node, draft: bool) -> None:
    if rule.tolerance < 0:
        node.fault("book.tolerance_negative", "tolerance")
    if rule.operator is Operator.BANDS:
        _check_bands(rule, node)
    elif rule.operator is Operator.ORDER and len(rule.acts) < 3:
        node.fault("book.few_acts", "acts", least=3)
    elif rule.numeric:
        _check_numbers(rule, known, node, draft)
    elif rule.operator in PRACTICE and not draft:
        _check_practice(rule, node)


def _check_bands(rule: Rule, node: Node) -> None:
    if len(rule.bands) < 2:
        node.fault("book.few_bands", "bands", least=2)
    for number, band in enumerate(rule.bands, 1):
        if band.value is None and band.text is None:
            node.fault("book.band_empty", f"bands.{number}")
    if rule.by != "pitch" and rule.by_quantity is None:
        node.fault("book.no_by_quantity", "by_quantity")


def _check_numbers(rule: Rule, known: Mapping[str, Rule], node: Node, draft: bool) -> None:
    if not rule.unit:
        return
    for name in ("low", "high") if rule.operator is Operator.RANGE else ("value",):
        if not node.has(name) and not draft:
            node.fault("book.no_value", name)
    if rule.low is not None and rule.high is not None and rule.low >= rule.high:
        node.fault("book.low_above_high", "low", low=rule.low, high=rule.high)
    check_errors(rule, known, node, draft=draft)


def _check_practice(rule: Rule, node: Node) -> None:
    if rule.right is None:
        node.fault("book.no_right", "right")
    said = [error.text for error in rule.errors if error.text is not None]
    if len(said) < FEWEST_TEXT_ERRORS:
        node.fault("book.few_errors", "errors", least=FEWEST_TEXT_ERRORS, found=len(said))
    if rule.right is not None and rule.right in said:
        node.fault("book.error_is_right", "errors")


# --- the checklist ------------------------------------------------------------------------------------------


def _item(node: Node, numeric: Mapping[str, bool]) -> CheckItem:
    kind = node.one_of("type", ITEM_KINDS)
    rule = node.string("rule", "")
    if rule and rule not in numeric:
        node.fault("book.item_rule_unknown", "rule", rule=rule)
    if kind == "measured" and not numeric.get(rule, rule not in numeric and bool(rule)):
        node.fault("book.item_needs_limit", "rule", rule=rule)
    repeat = node.whole("repeat", 1, least=1, most=MOST_READINGS)
    need = node.whole("need", repeat, least=1, most=MOST_READINGS)
    if need > repeat:
        node.fault("book.need_above_repeat", "need", need=need, repeat=repeat)
    return CheckItem(
        key=node.key(), group=node.text("group"), act=node.text("act"), kind=kind, rule=rule, repeat=repeat,
        need=need, in_a_row=node.flag("in_a_row"), weight=node.one_of("weight", WEIGHTS, "normal"),
        least=node.whole("least", 1), scopes=frozenset(node.words("scopes")),
    )  # fmt: skip
