"""Files that are no outline, by kind: damaged, malicious, or drawn wrongly. `files(seed)` goes on
for ever; none of them may give anything but one line and exit status 2."""

from __future__ import annotations

import gzip
import io
import math
import random
from collections.abc import Iterator

import ezdxf

from tests.imports.drawn import BODY, ring, stadium

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'


def files(seed: int) -> Iterator[tuple[str, str, bytes]]:
    """Kind, ending and bytes of one file after another, every kind in turn."""
    chance = random.Random(seed)
    while True:
        for make in KINDS:
            ending = make.__name__.partition("_")[0]
            yield make.__name__, ending, make(chance)


def _dxf(draw, units=4, version="R2010") -> bytes:
    document = ezdxf.new(version, units=units)
    draw(document, document.modelspace())
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode(document.output_encoding, "dxfreplace")


def _svg(body: str, head: str = HEAD) -> bytes:
    return f"{head}{body}</svg>".encode()


def _csv(rows) -> bytes:
    return "".join(",".join(map(str, row)) + "\n" for row in rows).encode()


def _body(space, gap=0.0):
    """A rectangle of a body's size, its last side `gap` short."""
    for k, (x, y) in enumerate(BODY):
        u, v = BODY[(k + 1) % 4]
        space.add_line((x, y), (u, v + gap if k == 3 else v))


def dxf_noise(chance):
    return chance.randbytes(chance.randrange(3000))


def dxf_empty(chance):
    return b" " * chance.randrange(3)


def dxf_cut_off(chance):
    whole = _dxf(lambda d, m: _body(m))
    at = whole.rindex(b"ENTITIES")
    return whole[: chance.randrange(100, at)]


def dxf_cut_in_its_entities(chance):
    whole = _dxf(lambda d, m: _body(m))
    first, last = whole.rindex(b"ENTITIES"), whole.rindex(b"LINE")
    return whole[: chance.randrange(first + 10, last)]


def dxf_not_a_number(chance):
    text = _dxf(lambda d, m: _body(m)).decode()
    wrong = chance.choice(("nan", "inf", "-inf", "1e400", "1e300", "1e15", "abc", "--5", ""))
    at = text.rindex("ENTITIES")
    return (text[:at] + text[at:].replace("190.0", wrong, 1)).encode()


def dxf_open(chance):
    return _dxf(lambda d, m: _body(m, chance.uniform(0.1, 40.0)))


def dxf_crossing(chance):
    turn = chance.uniform(0, 6)
    order = (0, 2, 1, 3)
    points = [
        (200 * math.cos(turn + k * math.pi / 2), 180 * math.sin(turn + k * math.pi / 2))
        for k in order
    ]
    return _dxf(lambda d, m: m.add_lwpolyline(points, close=True))


def dxf_doubled(chance):
    def draw(document, space):
        _body(space)
        k = chance.randrange(4)
        space.add_line(BODY[(k + 1) % 4], BODY[k])

    return _dxf(draw)


def dxf_forked(chance):
    def draw(document, space):
        _body(space)
        space.add_line(BODY[chance.randrange(4)], (chance.uniform(-50, 50), 0))

    return _dxf(draw)


def dxf_tiny(chance):
    def draw(document, space):
        short = chance.uniform(0.004, 0.04)
        points = [*BODY, (BODY[3][0], BODY[3][1] - short)]
        space.add_lwpolyline(points, close=True)

    return _dxf(draw)


def dxf_several(chance):
    def draw(document, space):
        _body(space)
        for _ in range(chance.randrange(1, 30)):
            space.add_circle(
                (chance.uniform(-90, 90), chance.uniform(-90, 90)), chance.uniform(1, 40)
            )

    return _dxf(draw)


def dxf_other_units(chance):
    return _dxf(
        lambda d, m: stadium(d, m, chance.choice((0.01, 0.2, 1.0, 40.0))), chance.choice((0, 4))
    )


def dxf_coarse(chance):
    return _dxf(lambda d, m: m.add_lwpolyline(ring(chance.randrange(30, 90)), close=True))


def dxf_block_in_itself(chance):
    def draw(document, space):
        count = chance.randrange(1, 7)
        names = [f"B{k}" for k in range(count)]
        for k, name in enumerate(names):
            block = document.blocks.new(name)
            block.add_line((0, 0), (1, 1))
            block.add_blockref(names[(k + 1) % count], (chance.random(), 0))
        space.add_blockref(names[0], (0, 0))

    return _dxf(draw)


def dxf_block_bomb(chance):
    def draw(document, space):
        deep, wide = chance.randrange(4, 8), chance.randrange(12, 30)
        for k in range(deep):
            block = document.blocks.new(f"B{k}")
            for n in range(wide):
                if k:
                    block.add_blockref(f"B{k - 1}", (n, 0))
                else:
                    block.add_line((n, 0), (n, 1))
        space.add_blockref(f"B{deep - 1}", (0, 0))

    return _dxf(draw)


def dxf_deep_blocks(chance):
    def draw(document, space):
        deep = chance.randrange(12, 200)
        _body(document.blocks.new("B0"))
        for k in range(1, deep):
            document.blocks.new(f"B{k}").add_blockref(f"B{k - 1}", (0, 0))
        space.add_blockref(f"B{deep - 1}", (0, 0))

    return _dxf(draw)


def dxf_placed_often(chance):
    def draw(document, space):
        _body(document.blocks.new("B"))
        counts = {
            "row_count": chance.randrange(200, 32000),
            "column_count": chance.randrange(200, 32000),
        }
        space.add_blockref("B", (0, 0), dxfattribs=counts)

    return _dxf(draw)


def dxf_flat_block(chance):
    def draw(document, space):
        _body(document.blocks.new("B"))
        space.add_blockref(
            "B", (0, 0), dxfattribs={"xscale": 1e-3, "yscale": chance.choice((1, 1e-4))}
        )

    return _dxf(draw)


def dxf_spline(chance):
    """A spline whose degree, knots or weights are none."""
    wrong = chance.randrange(5)

    def draw(document, space):
        made = space.add_spline()
        made.control_points = [(x, y, 0) for x, y in ring(9)]
        made.dxf.degree = 3
        made.knots = list(range(13))
        if wrong == 1:
            made.knots = list(range(chance.choice((2, 5, 12, 14, 400))))
        elif wrong == 2:
            made.knots = [chance.uniform(0, 9) for _ in range(13)]
        elif wrong == 3:
            made.knots = [1.0] * 13
        elif wrong == 4:
            made.weights = [chance.choice((-1.0, 0.0, 1e-300, 1.0)) for _ in range(8)] + [0.0]

    head, name, text = _dxf(draw).decode().rpartition("AcDbSpline")
    if wrong == 0:  # no library writes it
        text = text.replace(" 71\n3\n", f" 71\n{chance.choice((0, -3, 40, 8, 100000))}\n", 1)
    return (head + name + text).encode()


def dxf_wild_spline(chance):
    """A spline that runs to and fro between thousands of points."""

    def draw(document, space):
        points = [(chance.uniform(-200, 200), chance.uniform(-150, 150), 0) for _ in range(1500)]
        space.add_open_spline([*points, points[0]], degree=3)

    return _dxf(draw)


def dxf_tilted(chance):
    lean = chance.uniform(0.1, 1.4)
    way = (math.sin(lean), 0, math.cos(lean))
    return _dxf(lambda d, m: m.add_circle((0, 0), 150, dxfattribs={"extrusion": way}))


def dxf_no_radius(chance):
    return _dxf(lambda d, m: m.add_circle((0, 0), chance.choice((0, -150, -1e-9))))


def dxf_words_alone(chance):
    return _dxf(lambda d, m: [m.add_text("body", dxfattribs={"insert": (k, 0)}) for k in range(20)])


def dxf_too_many(chance):
    return _dxf(lambda d, m: [m.add_line((k, 0), (k + 1, 1)) for k in range(4200)])


def dxf_too_many_points(chance):
    text = _dxf(lambda d, m: m.add_lwpolyline([(1.5, 2.5), (7.5, 9.5)], close=True)).decode()
    first, last = text.index(" 10\n1.5\n"), text.index(" 10\n7.5\n")
    return (text[:first] + text[first:last] * 41_000 + text[last:]).encode()


def dxf_far_away(chance):
    x = chance.choice((1e4, 4e6, -7e7))
    return _dxf(lambda d, m: m.add_lwpolyline([(u + x, v) for u, v in BODY], close=True))


def dxf_handles_twice(chance):
    """Every handle is the same one, and every layer's name is damaged."""
    text = _dxf(lambda d, m: _body(m, 5.0)).decode()
    return text.replace("AcDbLine", "AcDbCircle").replace("LAYER", "REYAL").encode()


def svg_noise(chance):
    return chance.randbytes(chance.randrange(3000))


def svg_empty(chance):
    return b"\n" * chance.randrange(3)


def svg_cut_off(chance):
    whole = _svg('<g><rect x="20" y="20" width="400" height="300" rx="30"/></g>')
    return whole[: chance.randrange(5, len(whole) - 1)]


def svg_entities(chance):
    """Entities that grow by powers, in one of several encodings."""
    rows = ['<!ENTITY a0 "lol">']
    rows += [f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, chance.randrange(3, 12))]
    text = f"<!DOCTYPE svg [{''.join(rows)}]>{HEAD}<title>&a2;</title></svg>"
    return text.encode(chance.choice(("utf-8", "utf-16")))


def svg_outside_entity(chance):
    where = chance.choice(("file:///etc/passwd", "http://127.0.0.1:1/x", "/dev/zero"))
    text = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{where}">]>{HEAD}<title>&x;</title></svg>'
    return text.encode()


def svg_deep(chance):
    deep = chance.randrange(70, 20_000)
    return _svg("<g>" * deep + '<rect width="400" height="300"/>' + "</g>" * deep)


def svg_shows_itself(chance):
    count = chance.randrange(1, 6)
    groups = [f'<g id="g{k}"><use href="#g{(k + 1) % count}"/></g>' for k in range(count)]
    return _svg("".join(groups))


def svg_use_bomb(chance):
    wide, deep = chance.randrange(8, 30), chance.randrange(5, 20)
    groups = ['<g id="g0"><rect width="9" height="9"/></g>']
    for k in range(1, deep):
        groups.append(f'<g id="g{k}">{f"""<use href="#g{k - 1}"/>""" * wide}</g>')
    return _svg("".join(groups))


def svg_no_target(chance):
    return _svg(f'<use href="{chance.choice(("#nothing", "other.svg#a", "http://127.0.0.1/a"))}"/>')


def svg_path_data(chance):
    whole = "M20 20C30 5 400 5 420 20A200 200 0 0 1 420 400Q200 500 20 400Z"
    at = chance.randrange(1, len(whole) - 2)
    wrong = chance.choice(("x", "#", "M", "1..", "&#956;", "NaN", "Infinity", "~"))
    return _svg(f'<path d="{whole[:at]}{wrong}{whole[at:]}"/>')


def svg_huge_numbers(chance):
    big = chance.choice(("1e300", "1e999", "-1e40", "9" * 400))
    return _svg(f'<path d="M0 0L{big} 0L400 300L0 300Z"/>')


def svg_transform(chance):
    wrong = (
        "rotate(", "matrix(1 2 3)", "scale(a)", "turn(5)", "scale(1e200) scale(1e200)", "scale(0)",
        "matrix(0 0 0 0 0 0)", "translate(nan)", "x" * 5000, "skewX(90)",
    )  # fmt: skip
    return _svg(f'<g transform="{chance.choice(wrong)}"><rect width="400" height="300"/></g>')


def svg_view_box(chance):
    box = chance.choice(
        ("0 0 0 0", "0 0 -5 5", "a b c d", "0 0 5", "0 0 1e-300 1e-300", "0 0 1e300 1e300")
    )
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="{box}">'
    return _svg('<rect width="400" height="300"/>', head)


def svg_no_size(chance):
    size = chance.choice(("0", "-4mm", "5em", "1e400mm", "mm", "3 furlongs"))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}" height="500mm" viewBox="0 0 9 9">'
    )
    return _svg('<rect width="4" height="3"/>', head)


def svg_too_many(chance):
    return _svg('<rect width="400" height="300"/>' * chance.randrange(4200, 9000))


def svg_too_many_elements(chance):
    return _svg("<g/>" * 51_000 + '<rect width="400" height="300"/>')


def svg_too_many_segments(chance):
    return _svg(f'<path d="M0 0{"l1 1" * 45_000}Z"/>')


def svg_open(chance):
    return _svg(f'<path d="M20 20H400V300H20V{20 + chance.uniform(0.1, 50):.3f}"/>')


def svg_several(chance):
    return _svg('<rect width="400" height="300"/><circle cx="200" cy="150" r="40"/>')


def svg_crossing(chance):
    return _svg(f'<path d="M20 20L400 300L400 {chance.randrange(20, 200)}L20 300Z"/>')


def svg_doubled(chance):
    return _svg('<rect width="400" height="300"/>' * 2)


def svg_pictures_alone(chance):
    return _svg('<image href="/dev/zero" width="9" height="9"/><text>body</text><script>1</script>')


def svg_hidden(chance):
    how = chance.choice(('display="none"', 'style="display:none"', 'visibility="hidden"'))
    return _svg(f'<g {how}><rect width="400" height="300"/></g>')


def svg_not_svg(chance):
    return chance.choice(
        (
            b"<html><body>hello</body></html>",
            gzip.compress(_svg("")),
            b"\x00\x01<svg/>",
            b"<svg",
            b"{}",
        )
    )


def svg_radii(chance):
    return _svg(
        chance.choice(
            ('<circle r="0"/>', '<circle r="-5"/>', '<ellipse rx="9"/>', '<rect width="9"/>')
        )
    )


def svg_small(chance):
    return _svg(
        f'<rect width="{chance.uniform(1, 120):.2f}" height="{chance.uniform(1, 80):.2f}"/>'
    )


def svg_facets(chance):
    points = " ".join(f"{x + 250:.4f},{y + 200:.4f}" for x, y in ring(chance.randrange(30, 90)))
    return _svg(f'<polygon points="{points}"/>')


def csv_noise(chance):
    return chance.randbytes(chance.randrange(3000))


def csv_words(chance):
    return "\n".join(chance.choice(("a,b", "x", "1,2,3,4", "1;2;three")) for _ in range(9)).encode()


def csv_few(chance):
    return _csv(ring(9)[: chance.randrange(3)])


def csv_number(chance):
    rows = [list(row) for row in ring(40)]
    rows[chance.randrange(1, 40)][chance.randrange(2)] = chance.choice(
        ("nan", "inf", "1e999", "", "1e12", "0x5")
    )
    return _csv(rows)


def csv_mark(chance):
    rows = [[*row, ""] for row in ring(40)]
    rows[chance.randrange(40)][2] = chance.choice(("kink", "-5", "0", "corner corner", "1e99"))
    return _csv(rows)


def csv_again(chance):
    rows = ring(40)
    k = chance.randrange(1, 38)
    return _csv([*rows[:k], rows[k], *rows[k:]])


def csv_too_many(chance):
    return _csv(ring(chance.randrange(2100, 9000)))


def csv_shuffled(chance):
    rows = ring(60)
    chance.shuffle(rows)
    return _csv(rows)


def csv_coarse(chance):
    return _csv(ring(chance.randrange(8, 12), 200, chance.uniform(60, 110)))


def csv_fillet(chance):
    return _csv([(x, y, chance.uniform(400, 900)) for x, y in BODY])


def csv_inches(chance):
    return _csv((x / 25.4, y / 25.4) for x, y in ring(80))


def csv_on_a_line(chance):
    return _csv((k * 10.0, k * 5.0) for k in range(30))


def csv_long_line(chance):
    return b"1,2\n" + b"9" * 200_000 + b",5\n3,4\n"


KINDS = tuple(
    make
    for name, make in list(globals().items())
    if name.partition("_")[0] in ("dxf", "svg", "csv") and "_" in name and callable(make)
)
