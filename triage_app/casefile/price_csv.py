"""A shop's price list as CSV, read whole or not at all, with every fault named by its row.

Columns are matched by their heading, in a few usual words, or as told. The decimal mark is found
from the numbers themselves; where they leave it open, it has to be told.
"""

import csv
import io
import re
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from typing import Final

from triage_app.domain.errors import InvalidInputError, PriceListError
from triage_app.domain.plan.given import PriceRow

MAX_PRICE_LIST_BYTES: Final = 5_000_000
_MOST_ROWS: Final = 20_000
NUMBERS: Final = ("hours", "part", "outside", "day")
COLUMNS: Final = ("operation", *NUMBERS, "supplier", "quoted_on")

# Headings as shops write them, in small letters without signs.
_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "operation": ("operation", "op", "id", "code", "operation id", "operation code"),
    "hours": ("hours", "hrs", "time", "labour hours", "labor hours", "h"),
    "part": ("part", "part price", "parts", "price", "parts price", "material"),
    "outside": ("outside", "sublet", "outside service", "outside price", "sublet price"),
    "day": ("day", "day price", "price per day", "daily rate", "per day"),
    "supplier": ("supplier", "vendor", "source"),
    "quoted_on": ("quoted on", "quote date", "quoted", "date"),
}
_NUMBER = re.compile(r"[0-9][0-9., ' ]*")
# One mark that is followed by exactly three digits could separate thousands or decimals.
_OPEN = re.compile(r"[0-9]{1,3}[.,][0-9]{3}")


def read_price_csv(
    data: bytes,
    known: Collection[str],
    *,
    columns: Mapping[str, str] | None = None,
    decimal_mark: str | None = None,
) -> tuple[PriceRow, ...]:
    """Return the rows of a price list for operations that are ``known``.

    ``columns`` tells, for columns of ours, the heading in the file; others are matched by usual
    words. ``decimal_mark`` is "." or ",", or None to find it out. Raises PriceListError with every
    fault, by row as a spreadsheet counts them.
    """
    table = list(_table(data))
    if not table or len(table) < 2:
        raise PriceListError(("It has no rows under its headings.",))
    if len(table) > _MOST_ROWS:
        raise PriceListError((f"It has more than {_MOST_ROWS} rows.",))
    places = _places(table[0][1], columns or {})
    rows = [(number, _cells(cells, places)) for number, cells in table[1:]]
    mark = _decimal_mark([cells for _, cells in rows], decimal_mark)
    reader = _RowReader(known, mark)
    found = [row for number, cells in rows for row in reader.read(number, cells)]
    if reader.faults:
        raise PriceListError(tuple(reader.faults))
    return tuple(found)


def _table(data: bytes) -> Iterator[tuple[int, list[str]]]:
    """Yield each row that is not empty, with the number of its line."""
    if len(data) > MAX_PRICE_LIST_BYTES:
        raise PriceListError((f"It is larger than {MAX_PRICE_LIST_BYTES // 10**6} MB.",))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PriceListError(("It is not text in UTF-8; save it as CSV UTF-8.",)) from error
    if "\0" in text:
        raise PriceListError(("It is not a CSV file.",))
    first = text.partition("\n")[0]
    separator = max(";,\t", key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise PriceListError((f"Row {reader.line_num}: it is not CSV: {error}.",)) from error


def _places(headings: list[str], told: Mapping[str, str]) -> dict[str, int]:
    """Return where each column of ours stands; PriceListError for one that cannot be found."""
    wrong = sorted(set(told) - set(COLUMNS))
    if wrong:
        raise PriceListError((f"There is no column '{wrong[0]}'; ours: {', '.join(COLUMNS)}.",))
    plain = [_plain(heading) for heading in headings]
    places: dict[str, int] = {}
    for column in COLUMNS:
        words = (_plain(told[column]),) if column in told else _HEADINGS[column]
        found = [at for at, heading in enumerate(plain) if heading in words]
        if len(found) > 1:
            both = " and ".join(f"'{headings[at]}'" for at in found)
            raise PriceListError((f"Two headings could be the column '{column}': {both}.",))
        if found:
            places[column] = found[0]
        elif column in told:
            raise PriceListError((f"It has no heading '{told[column]}'.",))
    seen = ", ".join(f"'{heading}'" for heading in headings)
    if "operation" not in places:
        raise PriceListError((f"No column names the operation; its headings: {seen}.",))
    if not set(places) & set(NUMBERS):
        wanted = ", ".join(NUMBERS)
        raise PriceListError((f"No column has a number ({wanted}); its headings: {seen}.",))
    return places


def _plain(heading: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9]+", " ", heading.lower()).split())


def _cells(cells: list[str], places: Mapping[str, int]) -> dict[str, str]:
    return {column: cells[at] if at < len(cells) else "" for column, at in places.items()}


def _decimal_mark(rows: list[dict[str, str]], told: str | None) -> str:
    if told is not None:
        if told not in (".", ","):
            raise PriceListError((f"The decimal mark is '.' or ',', got '{told}'.",))
        return told
    texts = [cells.get(column, "") for cells in rows for column in NUMBERS]
    marks = {mark for mark in map(_mark_in, texts) if mark}
    if len(marks) == 1:
        return marks.pop()
    if marks:
        raise PriceListError(("Some numbers have a decimal point and some a comma; say which.",))
    open_ones = [text for text in texts if _OPEN.fullmatch(text)]
    if open_ones:
        raise PriceListError(
            (f"'{open_ones[0]}' could be thousands or decimals; say which mark is the decimal's.",)
        )
    return "."


def _mark_in(text: str) -> str:
    """Return the decimal mark of a number, or "" where it does not show."""
    marks = [letter for letter in text if letter in ".,"]
    if not marks or _OPEN.fullmatch(text):
        return ""
    if len(set(marks)) == 2:
        return marks[-1]
    # The same mark twice separates thousands; then the other one is the decimal's.
    return marks[0] if len(marks) == 1 else (set(".,") - set(marks)).pop()


class _RowReader:
    """Reads one row after another and collects every fault."""

    def __init__(self, known: Collection[str], mark: str) -> None:
        self._known = known
        self._mark = mark
        self._seen: dict[str, int] = {}
        self.faults: list[str] = []

    def read(self, number: int, cells: Mapping[str, str]) -> Iterator[PriceRow]:
        before = len(self.faults)
        operation = cells["operation"]
        self._check_operation(number, operation)
        numbers = {
            column: self._number(number, column, cells.get(column, "")) for column in NUMBERS
        }
        quoted_on = self._day(number, cells.get("quoted_on", ""))
        if len(self.faults) > before:
            return
        try:
            row = PriceRow(
                operation=operation,
                supplier=cells.get("supplier", ""),
                quoted_on=quoted_on,
                **numbers,
            )
        except InvalidInputError as error:
            self.faults.append(f"Row {number}: {error}")
            return
        if not row.is_blank:
            yield row

    def _check_operation(self, number: int, operation: str) -> None:
        if not operation:
            self.faults.append(f"Row {number}: it names no operation.")
        elif operation in self._seen:
            self.faults.append(
                f"Row {number}: '{operation}' stands in row {self._seen[operation]} already."
            )
        elif operation not in self._known:
            near = get_close_matches(operation, self._known, n=1)
            hint = f"; is it '{near[0]}'?" if near else "."
            self.faults.append(f"Row {number}: there is no operation '{operation}'{hint}")
        self._seen.setdefault(operation, number)

    def _number(self, row: int, column: str, text: str) -> Decimal | None:
        if not text:
            return None
        other = "," if self._mark == "." else "."
        whole, _, decimals = text.partition(self._mark)
        digits = re.sub(rf"[{re.escape(other)}' \u00a0]", "", whole)
        is_number = _NUMBER.fullmatch(text) and _is_grouped(whole, other)
        if is_number and (decimals == "" or decimals.isdecimal()):
            return Decimal(f"{digits}.{decimals}" if decimals else digits)
        self.faults.append(
            f"Row {row}, {column}: '{text}' is not a number with '{self._mark}' as its decimal "
            "mark."
        )
        return None

    def _day(self, row: int, text: str) -> date | None:
        if not text:
            return None
        try:
            return date.fromisoformat(text)
        except ValueError:
            self.faults.append(
                f"Row {row}, quoted_on: '{text}' is not a date; write it like 2031-03-14."
            )
            return None


def _is_grouped(whole: str, mark: str) -> bool:
    """Tell whether what separates thousands stands before every three digits, or nowhere."""
    parts = re.split(rf"[{re.escape(mark)}' \u00a0]", whole)
    return len(parts) == 1 or (
        1 <= len(parts[0]) <= 3 and all(len(part) == 3 for part in parts[1:])
    )
