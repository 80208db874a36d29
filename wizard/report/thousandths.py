"""A report with thousandths of an inch beside mm. Pure."""

from __future__ import annotations

import msgspec

from wizard.instructions.thousandths import beside, cell_beside
from wizard.report.content import Report
from wizard.report.rows import PointRow


def report_beside(report: Report) -> Report:
    """Return the same report, each length told in both."""
    return msgspec.structs.replace(
        report,
        unit="mm (thousandths of an inch)",
        about=tuple(map(beside, report.about)),
        verdict=tuple(map(beside, report.verdict)),
        points=tuple(map(_point, report.points)),
        changes=tuple((name, beside(told)) for name, told in report.changes),
        learned=tuple((name, beside(told)) for name, told in report.learned),
    )


def _point(row: PointRow) -> PointRow:
    figures = {name: cell_beside(getattr(row, name)) for name in ("before", "gap", "expanded", "deviation")}
    return row._replace(**figures)
