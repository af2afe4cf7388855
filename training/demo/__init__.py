"""The invented demo: how to sign in, and (in `player`) the scenario itself."""

from __future__ import annotations

from collections.abc import Iterator


def sign_ins() -> Iterator[str]:
    """One line per role: who it is, the code to sign in with and the PIN or password."""
    from training.demo.player import PASSWORD, PIN
    from training.models.people import demo_code

    yield f"safety officer   Harriet Stolberg (Tolvane Roofing)          officer            {PASSWORD}"
    for role, given, family in (
        ("evaluator", "Dolores", "Quintana Baeza"),
        ("applicator", "María Fernanda", "Ocampo Tzul"),
        ("applicator", "Jean-Rénald", "Dorcéus"),
    ):
        yield f"{role:<16} {f'{given} {family}':<42}  {demo_code(given, family):<17}  {PIN}"
    yield f"other company    Ignacio Beltrán Rocabado (Marrowick Tile Crew)  officer-marrowick  {PASSWORD}"
    yield "checker          nobody signs in: open /c/ or scan a card"
