"""What a drawing of a question shows, in numbers and words; `training.drawings.figures` draws it."""

from dataclasses import dataclass

from training.domain.text import Text
from training.domain.units import Measure, show


@dataclass(frozen=True)
class Figure:
    """One drawing. kind and profile: as in a rule's sketch; sizes: what is measured; place: where the pad lies.

    span: the largest size among the drawings of one question, so that all are drawn to one scale.
    spoken: what it shows, for who cannot see it; it says no more than the eye sees, so it gives no answer away.
    """

    kind: str
    spoken: Text
    sizes: tuple[Measure, ...] = ()
    profile: str = "low"
    place: str = ""
    span: Measure | None = None


SPOKEN = {
    "slope": Text("Roof that rises {rise} over a run of 12", "Techo que sube {rise} en un tramo de 12"),
    "ladder": Text("Ladder with its foot 1 out for {up} up", "Escalera con el pie a 1 por cada {up} de alto"),
    "lap": Text("Upper tile over the lower one by {size}", "Teja de arriba sobre la de abajo por {size}"),
    "overhang": Text("Tile past the edge by {size}", "Teja que pasa el borde por {size}"),
    "pad_length": Text("Pad from above, {size} long", "Porción desde arriba, de {size} de largo"),
    "pad_width": Text("Pad from above, {size} wide", "Porción desde arriba, de {size} de ancho"),
    "pad_height": Text("Pad from the side, {size} high", "Porción de lado, de {size} de alto"),
    "area": Text(
        "Lifted tile with a pad {length} by {width}", "Teja levantada con una porción de {length} por {width}"
    ),
}
PLACED = {
    "pan": Text("Pad under the low part of the tile", "Porción bajo la parte baja de la teja"),
    "crown": Text("Pad under the high part of the tile", "Porción bajo la parte alta de la teja"),
    "lock": Text("Pad in the side lock of the tile", "Porción en la traba lateral de la teja"),
    "none": Text("Tile without a pad", "Teja sin porción"),
}


def sized(kind: str, *sizes: Measure, profile: str = "low", span: Measure | None = None) -> Figure:
    """A drawing of these sizes."""

    def parts(language: str) -> dict[str, str]:
        shown = [show(size, language) for size in sizes]
        bare = shown[0].partition(":")
        return {"size": shown[0], "rise": bare[0], "up": bare[2], "length": shown[0], "width": shown[-1]}

    return Figure(kind, SPOKEN[kind].filled(parts), sizes, profile, span=span)


def placed(place: str, profile: str) -> Figure:
    """A drawing of a tile with its pad at this place."""
    return Figure("pad_place", PLACED[place], profile=profile, place=place)
