"""A fault tree as an SVG: one line for each gate and event, inputs indented under their gate, so that it reads from top
to bottom like a text. Symbols as in IEC 61025 (from memory): dome for AND, pointed arch for OR, circle for an event,
triangle for a tree that is drawn elsewhere, house for a condition of the build.
"""

from dataclasses import dataclass
from xml.sax.saxutils import escape

from host_sim.inks import INK, PAPER
from host_sim.inks import TRACK as STRIPE

from .tree import builds, children, gate_of

WIDTH = 1000
ROW = 27
INDENT = 30
LEFT = 24
TOP = 92
ALONE_X = 600
PART_X = 700
SOFT = "#555555"
LINE = "#8a8a8a"
ALONE = "#c43c00"
FONT = "font-family='DejaVu Sans, Verdana, Arial, sans-serif'"
GATE_WORDS = {"any": "any one of these", "all": "all of these together"}
LEGEND = (
    ("any", "any one of these is enough"),
    ("all", "all of these together"),
    ("event", "something breaks"),
    ("alone", "breaks, and alone is enough"),
    ("box", "a tree of its own"),
)


@dataclass(frozen=True)
class Row:
    """One line of the picture. `parent` is the index of its gate's row; `builds` those in which the row counts."""

    node: dict
    depth: int
    parent: int
    builds: tuple


def rows_of(node):
    """[Row] in the order of drawing; a boxed tree is one row."""
    rows = []
    _collect(node, 0, -1, builds(), rows)
    return rows


def _collect(node, depth, parent, possible, rows):
    when = node.get("when", {})
    possible = tuple(build for build in possible if all(build[key] == value for key, value in when.items()))
    rows.append(Row(node, depth, parent, possible))
    me = len(rows) - 1
    if not node.get("box"):
        for child in children(node):
            _collect(child, depth + 1, me, possible, rows)


def when_words(when):
    """`when` of a node in plain words; "" where it is always there."""
    words = {
        ("sensors", 1): "one sensor",
        ("sensors", 2): "two sensors",
        ("valve", "spring"): "spring-return valve",
        ("valve", "latching"): "latching valve",
        ("locks", "yes"): "lock switches",
        ("locks", "no"): "no lock switches",
    }
    return ", ".join(words[item] for item in when.items())


def svg(tree, events, alone):
    """Text of the SVG. `tree` a node of Trees.trees, `events` {id: Event}, `alone` {id: builds in which the event is
    enough by itself}."""
    rows = rows_of(tree)
    height = TOP + ROW * len(rows) + 110
    parts = [
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDTH}' height='{height}' "
        f"viewBox='0 0 {WIDTH} {height}' {FONT} font-size='13.5' fill='{INK}' role='img'>",
        f"<title>Fault tree: {escape(tree['title'])}</title>",
        f"<desc>{escape(tree['about'])}</desc>",
        f"<rect width='{WIDTH}' height='{height}' fill='{PAPER}'/>",
        _text(LEFT, 34, tree["title"], size=20, bold=True),
        _text(LEFT, 56, tree["about"], colour=SOFT),
        _text(ALONE_X, TOP - 12, "alone enough?", colour=SOFT, size=12),
        _text(PART_X, TOP - 12, "part; only with", colour=SOFT, size=12),
    ]
    for index in range(0, len(rows), 2):
        parts.append(f"<rect x='0' y='{_y(index) - ROW / 2:g}' width='{WIDTH}' height='{ROW}' fill='{STRIPE}'/>")
    parts += [_branch(rows, index) for index in range(1, len(rows))]
    for index, row in enumerate(rows):
        parts += _row(row, LEFT + 10 + INDENT * row.depth, _y(index), events, alone)
    parts += _legend(_y(len(rows)) + 26)
    return "\n".join(parts) + "\n</svg>\n"


def _y(index):
    return TOP + ROW * index + ROW / 2


def _text(x, y, words, colour=INK, size=None, bold=False):
    look = (f" font-size='{size}'" if size else "") + (" font-weight='bold'" if bold else "")
    return f"<text x='{x:g}' y='{y:g}' fill='{colour}'{look}>{escape(words)}</text>"


def _branch(rows, index):
    row = rows[index]
    x = LEFT + 10 + INDENT * (row.depth - 1)
    return (
        f"<path d='M{x},{_y(row.parent) + 10:g} V{_y(index):g} H{x + INDENT - 9}' fill='none' "
        f"stroke='{LINE}' stroke-width='1.4'/>"
    )


def _row(row, x, y, events, alone):
    node = row.node
    when = when_words(node.get("when", {}))
    side = [when] if when else []
    if node.get("box"):
        words = f"{node['text']} (a tree of its own)"
        return [_symbol("box", x, y), _text(x + 17, y + 5, words, bold=True)]
    if "given" in node:
        drawn = [_symbol("given", x, y), _text(x + 17, y + 5, node["given"])]
    elif "event" in node:
        event = events[node["event"]]
        side.insert(0, event.part)
        is_alone = any(build in row.builds for build in alone.get(event.name, ()))
        drawn = [_symbol("alone" if is_alone else "event", x, y), _text(x + 17, y + 5, event.text)]
        if is_alone:
            drawn.append(_text(ALONE_X, y + 5, "yes", ALONE, bold=True))
    else:
        side.insert(0, GATE_WORDS[gate_of(node)])
        drawn = [_symbol(gate_of(node), x, y), _text(x + 17, y + 5, node.get("text") or node["title"], bold=True)]
    return [*drawn, _text(PART_X, y + 5, "; ".join(side), SOFT)]


def _symbol(kind, x, y):
    shapes = {
        "all": f"<path d='M{x - 9},{y + 9:g} V{y:g} A9,9 0 0 1 {x + 9},{y:g} V{y + 9:g} Z' fill='{INK}'/>",
        "any": f"<path d='M{x - 9},{y + 9:g} Q{x - 9},{y - 3:g} {x},{y - 10:g} Q{x + 9},{y - 3:g} {x + 9},{y + 9:g} "
        f"Q{x},{y + 3:g} {x - 9},{y + 9:g} Z' fill='{PAPER}' stroke='{INK}' stroke-width='1.6'/>",
        "event": f"<circle cx='{x}' cy='{y:g}' r='7' fill='{PAPER}' stroke='{INK}' stroke-width='1.6'/>",
        "alone": f"<circle cx='{x}' cy='{y:g}' r='7' fill='{ALONE}' stroke='{INK}' stroke-width='1.6'/>",
        "box": f"<path d='M{x - 9},{y + 8:g} L{x},{y - 9:g} L{x + 9},{y + 8:g} Z' fill='{PAPER}' stroke='{INK}' "
        "stroke-width='1.6'/>",
        "given": f"<path d='M{x - 8},{y + 8:g} V{y - 2:g} L{x},{y - 9:g} L{x + 8},{y - 2:g} V{y + 8:g} Z' "
        f"fill='{PAPER}' stroke='{INK}' stroke-width='1.6'/>",
    }
    return shapes[kind]


def _legend(y):
    drawn = []
    for index, (kind, words) in enumerate((*LEGEND, ("given", "a condition of the build"))):
        x, line_y = LEFT + 10 + 320 * (index % 3), y + 28 * (index // 3)
        drawn += [_symbol(kind, x, line_y), _text(x + 17, line_y + 5, words, SOFT)]
    return drawn
