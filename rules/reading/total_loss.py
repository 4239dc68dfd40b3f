"""total_loss.toml -> total-loss rules, strictly."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from types import MappingProxyType

from rules.reading.rows import Row, rows_of
from rules.reading.words import Document
from rules.terms import SourceStatus
from rules.total_loss import TotalLossKind, TotalLossRule

TOTAL_LOSS_FILE = "total_loss.toml"
_MOST_PERCENT = 200


def read_total_loss(document: Document) -> Mapping[str, TotalLossRule]:
    """Return the rules by id; RulebookError names row and field."""
    rules: dict[str, TotalLossRule] = {}
    for row in rows_of(TOTAL_LOSS_FILE, document, "rule", "id"):
        kind = row.word("kind", TotalLossKind)
        rule = TotalLossRule(
            id=row.text("id"),
            place=row.text("place"),
            kind=kind,
            percent=_percent(row, "percent", row.number("percent"))
            if kind is TotalLossKind.PERCENTAGE
            else None,
            authority=row.text("authority"),
            read_on=_day(row, "read_on"),
            status=row.word("status", SourceStatus),
            others_say=_others(row) if row.has("others_say") else (),
            note=row.text("note") if row.has("note") else "",
        )
        row.finish()
        if rule.percent in rule.others_say:
            raise row.fault("others_say", "repeats the percentage of the row itself.")
        rules[rule.id] = rule
    return MappingProxyType(rules)


def _percent(row: Row, field: str, value: object) -> Decimal:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    percent = Decimal(str(value)) if is_number else Decimal(0)
    if not 0 < percent <= _MOST_PERCENT:
        raise row.fault(field, f"must be above 0 and at most {_MOST_PERCENT}, got {value!r}.")
    return percent.normalize() if percent != percent.to_integral() else Decimal(int(percent))


def _others(row: Row) -> tuple[Decimal, ...]:
    values = row.take("others_say")
    if not isinstance(values, list) or not values:
        raise row.fault("others_say", f"must be a list of percentages, got {values!r}.")
    return tuple(_percent(row, "others_say", value) for value in values)


def _day(row: Row, field: str) -> date:
    value = row.take(field)
    if not isinstance(value, date) or isinstance(value, datetime):
        raise row.fault(field, f"must be a date, got {value!r}.")
    return value
