"""Pictures of the real pages for the README, drawn anew with HEADLAP_SCREENSHOTS=1; otherwise only looked at."""

from __future__ import annotations

import io
import os
import re
import subprocess
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from certificates.models import Card
from tests.browser import cast, pages
from tests.browser.cast import Stage
from tests.browser.journey import parts
from tests.browser.server import Site
from tests.browser.visitors import Visitors

ROOT = Path(__file__).parents[2]
FOLDER = Path(__file__).parent / "screenshots"
LARGEST = 80_000
LIST = """Apellidos;Nombre(s);Teléfono;Idioma;Cuadrilla;Fecha de ingreso
Fernsby;Quentin;305 555 0178;inglés;Gable crew;31/02/2026
PEREZ ALVARADO;JOSE A.;+1 305 555 0102;es;Harbor;8 jun 2024
Xuncax Baltazar;Eulalia;(305) 555-0177;español;Harbor;25/08/2026
Baltazar Xuncax;Eulalia;305.555.0177;es;harbor;25/08/2026
"""
PAPER = (240, 240, 234)
PHONE = {"phone": True, "device_scale_factor": 2}
DESK = {"viewport": {"width": 1280, "height": 860}, "device_scale_factor": 1.25}
NAMES = {
    "board", "board-dark", "import-rows", "decision", "path-es", "reading-es", "quiz-es", "quiz-result-es", "hands-on",
    "card", "card-sheet", "check-yes", "check-no-es", "register",
}  # fmt: skip


@pytest.fixture(scope="module")
def stage(site: Site) -> Stage:
    return site.desk.do(cast.set_up, site.clock)


def keep(name: str, picture: Image.Image) -> None:
    """Stores the picture with few colours, if pictures are wanted; a blank one is a failure."""
    assert name in NAMES
    colours = picture.convert("RGB").getcolors(1 << 24)
    assert colours is not None and len(colours) > 20
    if os.environ.get("HEADLAP_SCREENSHOTS") != "1":
        return
    FOLDER.mkdir(exist_ok=True)
    for wanted in (128, 64, 32, 16):
        out = io.BytesIO()
        picture.convert("RGB").quantize(wanted, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
        if len(out.getvalue()) <= LARGEST:
            break
    (FOLDER / f"{name}.png").write_bytes(out.getvalue())


def shoot(page: Page, name: str, top: Locator | None = None) -> None:
    """The window as it is, or as it would be with `top` at its upper edge."""
    page.evaluate("document.fonts.ready.then(() => true)")
    size = page.viewport_size
    assert size is not None
    start = top.evaluate("it => it.getBoundingClientRect().top + scrollY") - 12 if top else 0
    clip = {"x": 0, "y": start, **size}
    keep(name, Image.open(io.BytesIO(page.screenshot(animations="disabled", full_page=True, clip=clip))))


def test_the_board(visitors: Visitors, do: Callable[..., Any]) -> None:
    page = visitors.window(do(cast.officer), **DESK)
    page.goto("/board/")
    shoot(page, "board")
    page.emulate_media(color_scheme="dark")
    shoot(page, "board-dark")


def test_a_decision_and_the_register(visitors: Visitors, do: Callable[..., Any]) -> None:
    page = visitors.window(do(cast.officer), **DESK | {"viewport": {"width": 1280, "height": 1400}})
    page.goto(f"/people/{do(cast.named, pages.OCAMPO).pk}/standing/")
    shoot(page, "decision")
    page.goto("/register/")
    shoot(page, "register")


def test_rows_of_a_crew_list(visitors: Visitors, do: Callable[..., Any], tmp_path: Path) -> None:
    file = tmp_path / "cuadrilla.csv"
    file.write_text(LIST, encoding="utf-8")
    page = visitors.window(do(cast.officer), **DESK | {"viewport": {"width": 1280, "height": 1180}})
    started = do(lambda: cast.crew_list(cast.acting(cast.officer()), file))
    page.goto(f"/imports/{started.pk}/rows/")
    shoot(page, "import-rows")


def test_the_path_the_reading_and_the_quiz(visitors: Visitors, do: Callable[..., Any], stage: Stage) -> None:
    phone = visitors.window(stage.learner.user, language="es", **PHONE)
    phone.set_viewport_size({"width": 360, "height": 1080})
    phone.goto("/my/path/")
    shoot(phone, "path-es")
    phone.set_viewport_size({"width": 360, "height": 740})
    phone.goto("/read/safe-work/1/falls/")
    shoot(phone, "reading-es")
    phone.goto(f"/quiz/{stage.sitting.pk}/{do(_with_four_options, stage)}/")
    phone.locator("label.choice").nth(1).tap()
    shoot(phone, "quiz-es")
    phone = visitors.window(do(cast.user_of, pages.OCAMPO), language="es", **PHONE)
    phone.goto(do(pages.FAILED["quiz_result"], stage))
    shoot(phone, "quiz-result-es")


def _with_four_options(stage: Stage) -> int:
    from training import facts

    asked = facts.questions_of(stage.sitting)
    return next(n for n, one in enumerate(asked, start=1) if n > 6 and one.answer == "one" and len(one.options) >= 4)


def test_the_hands_on(visitors: Visitors, do: Callable[..., Any], stage: Stage) -> None:
    phone = visitors.window(do(cast.user_of, cast.EVALUATOR), **PHONE)
    number, name = do(_repeated, stage)
    bad = do(parts, stage.open_sign_off.pk, [name])[number - 1][f"{name}-3"]
    phone.goto(f"/sign-off/{stage.open_sign_off.pk}/part/{number}/")
    phone.locator(f"#{name}-3").fill(bad)
    phone.locator(f"#{name}-3").blur()
    expect(phone.locator(f"#judged-{name}-3 .judged-no")).to_be_visible()
    shoot(phone, "hands-on", top=phone.locator(f"#{name}"))


def _repeated(stage: Stage) -> tuple[int, str]:
    """The first item that is measured four times: its part and its key."""
    for number, fields in enumerate(parts(stage.open_sign_off.pk), start=1):
        for name, value in fields.items():
            if name.endswith("-4") and value not in {"yes", "no", "0", "1", "2"}:
                return number, name.removesuffix("-4")
    raise AssertionError("nothing is measured four times")


@pytest.mark.needs("pdftoppm")
def test_the_printed_cards(visitors: Visitors, do: Callable[..., Any], settings: Any, tmp_path: Path) -> None:
    settings.SITE_URL = "https://tolvane.example"
    page = visitors.window(do(cast.officer))
    card = do(cast.card_of, "Dorcéus")
    keep("card", beside(printed(page, reverse("certificates:card_pdf", args=[card.pk]), tmp_path / "card.pdf", 220)))
    cards = do(lambda: [str(pk) for pk in Card.objects.of(cast.company()).current().values_list("pk", flat=True)[:8]])
    address = f"{reverse('certificates:cards_sheet')}?{'&'.join(f'card={pk}' for pk in cards)}"
    keep("card-sheet", printed(page, address, tmp_path / "sheet.pdf", 80)[0])


def printed(page: Page, address: str, file: Path, dpi: int) -> list[Image.Image]:
    """The pages of a PDF as they come out of a printer."""
    file.write_bytes(page.context.request.get(address).body())
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", str(file), str(file.with_suffix(""))], check=True)
    return [Image.open(one).convert("RGB") for one in sorted(file.parent.glob(f"{file.stem}-*.png"))]


def beside(sides: Iterable[Image.Image], gap: int = 24) -> Image.Image:
    """Pictures in one row on the colour of the page."""
    sides = list(sides)
    width = sum(side.width + gap for side in sides) + gap
    out = Image.new("RGB", (width, max(side.height for side in sides) + 2 * gap), PAPER)
    left = gap
    for side in sides:
        out.paste(side, (left, gap))
        left += side.width + gap
    return out


def test_the_check(visitors: Visitors, do: Callable[..., Any]) -> None:
    phone = visitors.window(**PHONE)
    phone.goto(f"/c/{do(cast.card_of, 'Dorcéus').secret}/")
    shoot(phone, "check-yes")
    phone = visitors.window(language="es", **PHONE)
    phone.goto(f"/c/{do(cast.card_of, 'Zúñiga Patzán').secret}/")
    shoot(phone, "check-no-es")


def test_the_pictures_of_the_readme_are_there_and_small() -> None:
    shown = set(re.findall(r"tests/browser/screenshots/([\w-]+)\.png", (ROOT / "README.md").read_text("utf-8")))
    there = {file.stem: file.stat().st_size for file in FOLDER.glob("*.png")}
    assert shown <= there.keys()
    assert there.keys() == NAMES
    assert {name: size for name, size in there.items() if size > LARGEST} == {}
