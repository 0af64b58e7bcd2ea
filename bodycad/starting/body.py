"""The plain outline of a first script: six straight sides with eased corners, one shoulder."""

from __future__ import annotations

from collections.abc import Iterator

from bodycad.starting.answers import Answers

CORNERS = (
    ("m", "h + 9", 8, "the neck's mouth"),
    ("m - 40", "h + 14", 14, "the bass cutaway"),
    ("m - 34", "h + 52", 20, ""),
    ("m + 78", "h + 40", 14, "the shoulder, which carries the strap"),
    ("m + 92", "h + 78", 18, ""),
    ("m - 20", "h + 118", 60, ""),
    ("(m - 220) / 2", "128", 160, "a shallow waist"),
    ("-120", "172", 60, "the bass side of the tail"),
    ("-204", "120", 40, ""),
    ("-204", "-132", 40, "the tail"),
    ("-120", "-172", 60, "the straight treble side, where the jack goes"),
    ("66", "-166", 40, ""),
    ("m - 110", "-124", 45, "the knee"),
    ("m - 40", "-(h + 104)", 28, ""),
    ("m - 66", "-(h + 28)", 18, "the treble cutaway, clear of the last fret"),
    ("m - 34", "-(h + 14)", 30, ""),
    ("m", "-(h + 9)", 8, ""),
)


def body_text(one: Answers) -> Iterator[str]:
    """The lines that draw outline and skin."""
    yield "# The outline, drawn with rule and discs: x and y of each corner, the disc's radius."
    yield "m, h = mouth_x(neck), heel.width_mouth / 2"
    yield "corners = ("
    for x, y, radius, words in CORNERS:
        yield f"    ({x}, {y}, {radius}),{f'  # {words}' if words else ''}"
    yield ")"
    yield "outline = rounded([(x, y) for x, y, _ in corners], [r for *_, r in corners])"
    yield "skin = Skin(outline, thickness, front=Roundover(2.0), back=Roundover(6.0))"
