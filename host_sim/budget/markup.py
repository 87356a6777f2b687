"""Small pieces of the printable pages: every text that goes in comes out escaped."""

import base64
from html import escape


def paragraph(text, kind=""):
    """<p> of a plain text, with a class where `kind` is given."""
    return f'<p class="{kind}">{escape(text)}</p>' if kind else f"<p>{escape(text)}</p>"


def bullets(sentences):
    """<ul> of plain texts; nothing for none."""
    if not sentences:
        return ""
    return "<ul>\n" + "\n".join(f"<li>{escape(text)}</li>" for text in sentences) + "\n</ul>"


def pairs(named):
    """<dl> of (name, value, remark) in plain text; a remark is set off as a tag."""
    found = []
    for name, value, remark in named:
        tag = f' <span class="tag">{escape(remark)}</span>' if remark else ""
        found.append(f"<div><dt>{escape(name)}</dt><dd>{escape(value)}{tag}</dd></div>")
    return '<dl class="facts">\n' + "\n".join(found) + "\n</dl>"


def table(caption, head, rows, left=(0,), kind="", closing=""):
    """<table> of plain texts, the first cell of a row being its head.

    `head`     texts of the columns; or a list of two rows of such, where (text, n) stands above n columns
    `left`     columns that are flush left, the others right
    `kind`     classes; `closing` a last line across all columns
    """
    rows_of_head = head if isinstance(head, list) else [head]
    parts = [f'<table class="{kind}">' if kind else "<table>", f"<caption>{escape(caption)}</caption>", "<thead>"]
    for row in rows_of_head:
        parts.append("<tr>" + "".join(_head_cell(cell, n, left) for n, cell in enumerate(row)) + "</tr>")
    parts += ["</thead>", "<tbody>", *(_row(row, left) for row in rows)]
    if closing:
        parts.append(f'<tr><td class="closing" colspan="{len(rows_of_head[-1])}">{escape(closing)}</td></tr>')
    parts += ["</tbody>", "</table>"]
    return '<div class="table">\n' + "\n".join(parts) + "\n</div>"


def _head_cell(cell, n, left):
    text, span = cell if isinstance(cell, tuple) else (cell, 1)
    if span > 1:
        return f'<th scope="colgroup" colspan="{span}">{escape(text)}</th>'
    return f'<th scope="col"{_side(n, left)}>{escape(text)}</th>'


def _row(row, left):
    first, *others = row
    cells = [f'<th scope="row"{_side(0, left)}>{escape(first)}</th>']
    cells += [f"<td{_side(n, left)}>{escape(cell)}</td>" for n, cell in enumerate(others, 1)]
    return "<tr>" + "".join(cells) + "</tr>"


def _side(n, left):
    return "" if n in left else ' class="number"'


def beside(*parts):
    """Pieces of markup that stand side by side where there is room."""
    return '<div class="beside">\n' + "\n".join(parts) + "\n</div>"


def section(key, heading, *parts):
    """<section> with its heading; `parts` are markup, empty ones left out."""
    body = "\n".join(part for part in parts if part)
    return (
        f'<section aria-labelledby="{key}-heading">\n<h2 id="{key}-heading">{escape(heading)}</h2>\n{body}\n</section>'
    )


def picture(png, alt):
    """<img> that carries its PNG bytes along."""
    return f'<img alt="{escape(alt)}" src="data:image/png;base64,{base64.b64encode(png).decode("ascii")}">'
