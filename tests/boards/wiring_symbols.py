"""Drawings as SVG, and what clashes in them: symbols after IEC 60617, black and grey with one accent.

A Sheet notes the box of every text and symbol and every stretch of wire, so that `clashes` can say where a wire runs
through a text or a symbol, or where two of them overlap. Lengths are user units; 15 of them are a line of text.
"""

from xml.sax.saxutils import escape

INK = "#111111"
PALE = "#f0f0ee"
# Dark enough for a grey print-out; marks what brings DOWN, or the low reading, when something breaks.
ACCENT = "#b03000"
SIZE = 15
SMALL = 13
# Widest a character comes out, as a share of the size of the type: DejaVu Sans, of text of several characters.
ADVANCE = 0.61
BOLD_ADVANCE = 0.69
BODY = 36


def text_box(x, y, words, size, anchor, bold):
    """(left, top, right, bottom) of a line of text whose base line is at y."""
    width = len(words) * size * (BOLD_ADVANCE if bold else ADVANCE)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    return (left, y - 0.8 * size, left + width, y + 0.22 * size)


def overlap(a, b):
    """Whether two boxes share more than an edge."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


class Sheet:
    """One drawing. Every method draws; those of a symbol return the points where wires end."""

    def __init__(self, name, title, height, width=520):
        self.name, self.title, self.width, self.height = name, title, width, height
        self.lines = []
        self.texts = []  # (box, words, box of the block it belongs in, or None)
        self.bodies = []  # (box, words)
        self.stretches = []  # (x1, y1, x2, y2)
        self.say(16, 26, title, bold=True, size=17)

    def _put(self, line):
        self.lines.append(line)

    def say(self, x, y, words, anchor="start", bold=False, accent=False, size=SMALL, inside=None):
        """A line of text; several with `|` between them."""
        for n, part in enumerate(words.split("|")):
            at = y + n * (size + 3)
            self.texts.append((text_box(x, at, part, size, anchor, bold), part, inside))
            weight = ' font-weight="bold"' if bold else ""
            ink = ACCENT if accent else INK
            self._put(
                f'<text x="{x:g}" y="{at:g}" font-size="{size}" text-anchor="{anchor}" fill="{ink}"{weight}>'
                f"{escape(part)}</text>"
            )

    def wire(self, *points, accent=False, width=1.6, dash=""):
        """A wire through points (x, y); only level and upright stretches."""
        for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
            if x1 != x2 and y1 != y2:
                raise ValueError(f"{self.name}: a slanted wire from {x1}, {y1} to {x2}, {y2}")
            self.stretches.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
        path = " ".join(f"{x:g},{y:g}" for x, y in points)
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        ink = ACCENT if accent else INK
        self._put(f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="{width}"{dashes}/>')

    def dot(self, x, y):
        """Wires that meet."""
        self._put(f'<circle cx="{x:g}" cy="{y:g}" r="3.4" fill="{INK}"/>')

    def pin(self, x, y, words="", side="left", accent=False):
        """Where a wire leaves the drawing: a ring, with its name left, right, above or below of it."""
        self._put(f'<circle cx="{x:g}" cy="{y:g}" r="4" fill="#ffffff" stroke="{INK}" stroke-width="1.6"/>')
        if not words:
            return
        n = words.count("|")
        dx, dy, anchor = {
            "left": (-9, 4.5 - 8 * n, "end"),
            "right": (9, 4.5 - 8 * n, "start"),
            "above": (0, -10 - 16 * n, "middle"),
            "below": (0, 19, "middle"),
        }[side]
        self.say(x + dx, y + dy, words, anchor, accent=accent)

    def block(self, x, y, w, h, words, accent=False, fill="#ffffff", note=""):
        """A box with a name in bold and a note below it, lines apart with `|`."""
        self.bodies.append(((x, y, x + w, y + h), words))
        ink = ACCENT if accent else INK
        self._put(
            f'<rect x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}" rx="3" fill="{fill}" stroke="{ink}" stroke-width="1.8"/>'
        )
        heads, notes = words.split("|"), note.split("|") if note else []
        high = len(heads) * (SIZE + 3) + len(notes) * (SMALL + 3)
        at = y + (h - high) / 2 + SIZE - 1
        own = (x, y, x + w, y + h)
        for line in heads:
            self.say(x + w / 2, at, line, "middle", bold=True, size=SIZE - 1, inside=own)
            at += SIZE + 3
        for line in notes:
            self.say(x + w / 2, at - 2, line, "middle", size=SMALL, inside=own)
            at += SMALL + 3

    # What has two ends. The body lies in the middle, leads run to both points.

    def part(self, kind, a, b, words="", side="", accent=False, flip=False):
        """A symbol between two points on one line; `words` beside it: left, right, above or below."""
        (x1, y1), (x2, y2) = a, b
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        level = y1 == y2
        long = {"capacitor": 8, "diode": 18, "schottky": 18, "led": 18}.get(kind, BODY)
        wide = {"capacitor": 26, "diode": 18, "schottky": 20, "led": 38, "lamp": 30}.get(kind, 14)
        if kind == "lamp":
            long = 30
        half, across = long / 2, wide / 2
        if level:
            left, right = min(x1, x2), max(x1, x2)
            self._lead(left, y, x - half, y, accent)
            self._lead(x + half, y, right, y, accent)
            box = (x - half, y - across, x + half, y + across)
        else:
            high, low = min(y1, y2), max(y1, y2)
            self._lead(x, high, x, y - half, accent)
            self._lead(x, y + half, x, low, accent)
            box = (x - across, y - half, x + across, y + half)
        self.bodies.append((box, words or kind))
        turn = 0 if level else 90
        if flip:
            turn += 180
        ink = ACCENT if accent else INK
        self._put(
            f'<g transform="translate({x:g},{y:g}) rotate({turn})" stroke="{ink}" fill="#ffffff" stroke-width="1.8">'
        )
        self._put(_SHAPES[kind].replace("INK", ink))
        self._put("</g>")
        if words:
            self._beside(box, words, side or ("above" if level else "right"), accent)

    def _lead(self, x1, y1, x2, y2, accent):
        if (x1, y1) != (x2, y2):
            self.wire((x1, y1), (x2, y2), accent=accent)

    def _beside(self, box, words, side, accent):
        n = words.count("|")
        x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        if side == "left":
            self.say(box[0] - 6, y + 5 - 8 * n, words, "end", accent=accent)
        if side == "right":
            self.say(box[2] + 6, y + 5 - 8 * n, words, accent=accent)
        if side == "above":
            self.say(x, box[1] - 6 - 16 * n, words, "middle", accent=accent)
        if side == "below":
            self.say(x, box[3] + 15, words, "middle", accent=accent)

    def ground(self, x, y, words=""):
        """The reference, at the end of a wire that comes from above."""
        self.bodies.append(((x - 12, y, x + 12, y + 14), "ground"))
        for n, half in enumerate((12, 8, 4)):
            self._put(
                f'<line x1="{x - half:g}" y1="{y + 6 * n:g}" x2="{x + half:g}" y2="{y + 6 * n:g}" stroke="{INK}" stroke-width="1.8"/>'
            )
        if words:
            self.say(x + 17, y + 11, words)

    def transistor(self, x, y, words=""):
        """An N-channel MOSFET around x, y; returns (gate, drain, source)."""
        self.bodies.append(((x - 20, y - 20, x + 20, y + 20), "transistor"))
        self._put(f'<g transform="translate({x:g},{y:g})" fill="none" stroke="{INK}" stroke-width="1.8">')
        self._put('<circle r="20" fill="#ffffff"/><path d="M-20,8 H-8 M-8,-10 V10 M-3,-13 V-5 M-3,-4 V4 M-3,5 V13"/>')
        self._put('<path d="M-3,-9 H8 V-20 M-3,9 H8 V20 M-3,0 H8 V9"/>')
        self._put(f'<path d="M-3,0 L4,-3.5 V3.5 Z" fill="{INK}" stroke="none"/></g>')
        if words:
            self.say(x + 26, y + 5 - 8 * words.count("|"), words)
        return (x - 20, y + 8), (x + 8, y - 20), (x + 8, y + 20)

    def contact(self, a, b, words="", side="right", push=False):
        """A make contact between two points on one upright line."""
        (x, y1), (_, y2) = a, b
        mid = (y1 + y2) / 2
        self._lead(x, y1, x, mid - 14, False)
        self._lead(x, mid + 14, x, y2, False)
        box = (x - 18 - 14 * push, mid - 14, x + 3, mid + 14)
        self.bodies.append((box, words or "contact"))
        self._put(f'<path d="M{x:g},{mid + 14:g} L{x - 13:g},{mid - 12:g}" stroke="{INK}" stroke-width="1.8"/>')
        if push:
            self._put(
                f'<path d="M{x - 7:g},{mid:g} H{x - 26:g} M{x - 26:g},{mid - 8:g} V{mid + 8:g}" stroke="{INK}" '
                'stroke-width="1.6" fill="none"/>'
            )
        if words:
            self._beside(box, words, side, False)

    def svg(self):
        """The file's text."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width} {self.height}" width="{self.width}" '
            f'height="{self.height}" font-family="DejaVu Sans, Verdana, Arial, sans-serif">'
        )
        # Wires first, so that symbols and rings lie on them.
        wires = [line for line in self.lines if line.startswith("<polyline")]
        rest = [line for line in self.lines if not line.startswith("<polyline")]
        paper = f'<rect width="{self.width}" height="{self.height}" fill="#ffffff"/>'
        return "\n".join([head, f"<title>{escape(self.title)}</title>", paper, *wires, *rest, "</svg>"]) + "\n"


_ZIGZAG = "M-18,0 A4.5,6 0 0 1 -9,0 A4.5,6 0 0 1 0,0 A4.5,6 0 0 1 9,0 A4.5,6 0 0 1 18,0"
_SHAPES = {
    "resistor": '<rect x="-18" y="-7" width="36" height="14"/>',
    "fuse": '<rect x="-18" y="-7" width="36" height="14"/><path d="M-18,0 H18"/>',
    "capacitor": '<path d="M-4,-13 V13 M4,-13 V13"/>',
    "diode": '<path d="M-9,-9 L9,0 L-9,9 Z" fill="INK"/><path d="M9,-9 V9"/>',
    "schottky": '<path d="M-9,-9 L9,0 L-9,9 Z" fill="INK"/><path d="M13,-6 V-10 H9 V10 H5 V6" fill="none"/>',
    "led": '<path d="M-9,-9 L9,0 L-9,9 Z" fill="INK"/><path d="M9,-9 V9 M-2,-11 L4,-18 M4,-18 L0,-16 M4,-18 L3,-13" fill="none"/>',
    "lamp": '<circle r="15"/><path d="M-10.6,-10.6 L10.6,10.6 M-10.6,10.6 L10.6,-10.6"/>',
    "coil": f'<path d="{_ZIGZAG}" fill="none"/>',
    "piezo": '<rect x="-18" y="-7" width="36" height="14"/><path d="M-18,-11 V11 M18,-11 V11"/>',
}


def clashes(sheet):
    """What overlaps in a sheet, one line of words each; an empty list is a clean drawing."""
    found = []
    page = (0, 0, sheet.width, sheet.height)
    for n, (box, words, own) in enumerate(sheet.texts):
        room = own or page
        if box[0] < room[0] or box[1] < room[1] or box[2] > room[2] or box[3] > room[3]:
            found.append(f"'{words}' sticks out of its {'block' if own else 'page'}")
        found += [f"'{words}' on '{other}'" for there, other, _ in sheet.texts[n + 1 :] if overlap(box, there)]
        found += [f"'{words}' on symbol '{name}'" for body, name in sheet.bodies if body != own and overlap(box, body)]
        found += [f"wire {wire} through '{words}'" for wire in sheet.stretches if overlap(box, _thick(wire))]
    for n, (body, name) in enumerate(sheet.bodies):
        found += [f"symbol '{name}' on '{other}'" for there, other in sheet.bodies[n + 1 :] if overlap(body, there)]
        inner = (body[0] + 1, body[1] + 1, body[2] - 1, body[3] - 1)
        found += [f"wire {wire} through symbol '{name}'" for wire in sheet.stretches if overlap(inner, _thick(wire))]
    return [f"{sheet.name}: {line}" for line in found]


def _thick(wire):
    return (wire[0] - 0.5, wire[1] - 0.5, wire[2] + 0.5, wire[3] + 0.5)
