"""Lines of text that are broken to a room: each is as wide as it is drawn."""

from bodycad.exports.pdf.kit import BOLD, PLAIN, width, wrapped


def test_no_line_is_wider_than_its_room():
    """Spaces count: twenty words of one letter at 3 mm."""
    for font in (PLAIN, BOLD):
        for text in ("i " * 60, "corners tighter than the cutter's 4.75 stay as round as it " * 4):
            lines = wrapped(text, 50.0, 3.0, font)
            assert " ".join(lines) == " ".join(text.split())
            assert max(width(line, 3.0, font) for line in lines) <= 50.0 + 1e-6
            assert min(width(line, 3.0, font) for line in lines[:-1]) > 25.0
