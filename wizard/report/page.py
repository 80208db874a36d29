"""A report as one HTML page: no network, readable on a phone, printed on one page of A4."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from profiles.faults import printable
from profiles.machine import Machine
from wizard.report.content import CAUTIONS, RULE, SIMULATED, Report
from wizard.report.drawing import Draw
from wizard.report.picture import picture

LETTERS_A_LINE = 80
LINES_A_SHEET = 24
"""Lines of text, besides headings, pictures and cautions, that find room on a sheet of A4."""

STYLE = """
:root{color-scheme:light}
*{box-sizing:border-box}
body{font:14px/1.35 system-ui,sans-serif;color:#111;background:#fff}
body{max-width:46rem;margin:1rem auto;padding:0 .8rem}
h1{font-size:1.35rem;margin:0 0 .3rem}
h2{font-size:1rem;margin:.8rem 0 .2rem;border-bottom:1px solid #999}
p{margin:.1rem 0}
.job{font-weight:bold}
.simulated{border:3px double #111;padding:.2rem .5rem;font-weight:bold;margin:.3rem 0}
.verdict p:first-child{font-weight:bold}
.pictures{display:flex;flex-wrap:wrap;gap:1rem}
figure{margin:0;flex:1 1 15rem;max-width:22rem}
figcaption{font-size:.85em}
svg{width:100%;height:auto}
svg text{font-family:system-ui,sans-serif}
svg.plain text{font-size:9px;text-anchor:middle}
svg.plain .number{font-size:11px;font-weight:bold;paint-order:stroke;stroke:#fff;stroke-width:3px}
svg.plain .level{font-size:7px;fill:#333;paint-order:stroke;stroke:#fff;stroke-width:2px}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th,td{text-align:right;padding:.1rem .4rem;border-bottom:1px solid #ccc}
@media (max-width:32rem){table{font-size:.75rem}th,td{padding:.1rem .15rem}}
th:first-child,td:first-child{text-align:left}
.list{columns:2 17rem;column-gap:2rem;margin:0;padding-left:1.1rem}
.small{font-size:.85em;color:#333}
.sign{display:flex;gap:2rem;margin-top:1.4rem}
.sign span{flex:1;border-top:1px solid #111;padding-top:.1rem;font-size:.8rem}
@page{size:A4;margin:11mm}
@media print{
body{font-size:9pt;line-height:1.2;margin:0;padding:0;max-width:none}
.list{font-size:8.5pt}
figure{max-width:6cm;flex:0 0 6cm}
th,td{padding:0 .4rem}
.pictures{gap:1.5cm}
h1{font-size:1.4em}
h2{font-size:1.1em;margin:.3em 0 .1em}
.sign{margin-top:2em}
.sign span{font-size:.9em}
.crowded{font-size:8pt;line-height:1.12}
.crowded .list{font-size:7.5pt}
.crowded figure{max-width:5.4cm;flex-basis:5.4cm}
svg,.simulated{print-color-adjust:exact;-webkit-print-color-adjust:exact}
}
"""


def page(report: Report, machine: Machine, draw: Draw = picture) -> str:
    """Return the whole page; `draw` makes its pictures."""
    parts = [
        f"<h1>{_text(report.title)}</h1>",
        f'<p class="job">{_text(report.job)}</p>',
        f'<p class="simulated">{SIMULATED}</p>' if report.simulated else "",
        *_paragraphs(report.about),
        _part("Result", f'<div class="verdict">{"".join(_paragraphs(report.verdict))}</div>'),
        _part("The bed: deviation from the wanted gap, mm", _pictures(report, machine, draw)),
        _part(f"Points, {report.unit}", _points(report)) if report.points else "",
        _part("What was changed", _words(report.changes)) if report.changes else "",
        _part("What the adjusters really do", _words(report.learned)) if report.learned else "",
        _part("Cautions", "".join(_paragraphs([" ".join(CAUTIONS)]))),
        '<div class="sign"><span>checked by</span><span>date, signature</span></div>',
        f'<p class="small">{_text(", ".join(filter(None, (report.footer, report.who))))}</p>',
    ]
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{_text(report.title)}</title><style>{STYLE}</style></head>\n"
        f'<body class="{"crowded" if _is_crowded(report) else "usual"}">\n'
        + "\n".join(part for part in parts if part)
        + "\n</body></html>\n"
    )


def _is_crowded(report: Report) -> bool:
    """Whether so much is told that one sheet takes smaller letters."""
    words = sum(len(told) for _, told in (*report.changes, *report.learned))
    lines = len(report.about) + len(report.verdict) + len(report.points) + words // LETTERS_A_LINE
    return lines > LINES_A_SHEET


def _text(told: str) -> str:
    """Return text that a browser shows as it is."""
    return escape(printable(told))


def _part(heading: str, inner: str) -> str:
    return f"<section><h2>{heading}</h2>{inner}</section>"


def _paragraphs(lines: Iterable[str]) -> list[str]:
    return [f"<p>{_text(line)}</p>" for line in lines if line]


def _pictures(report: Report, machine: Machine, draw: Draw) -> str:
    sides = (
        ("as first read", report.before),
        ("at the end", report.after),
    )
    figures = [
        f"<figure>{draw(machine, values, report.tolerance_mm, f'bed {told}')}"
        f"<figcaption>{told}: blue is too wide, brown too narrow, full colour from "
        f"{report.tolerance_mm:.2f} mm on; computed between the points</figcaption></figure>"
        for told, values in sides
        if values
    ]
    return f'<div class="pictures">{"".join(figures)}</div>' if figures else "<p>Nothing was read.</p>"


def _points(report: Report) -> str:
    head = ("point", "first read", "gap", "U", "deviation", "verdict")
    rule = f'<p class="small">{_text(RULE)}</p>'
    return f"<table>{_row(head, 'th')}{''.join(_row(row, 'td') for row in report.points)}</table>{rule}"


def _words(rows: Iterable[tuple[str, str]]) -> str:
    return f'<ul class="list">{"".join(f"<li>{_text(name)}: {_text(told)}</li>" for name, told in rows)}</ul>'


def _row(cells: Sequence[str], kind: str) -> str:
    return "<tr>" + "".join(f"<{kind}>{_text(cell)}</{kind}>" for cell in cells) + "</tr>"
