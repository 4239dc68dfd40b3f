"""Price lists from spreadsheets: taken in whole, or every fault named by its row."""

from decimal import Decimal

import pytest

from triage_app.casefile.price_csv import read_price_csv
from triage_app.domain.errors import PriceListError
from triage_app.domain.plan.given import PriceRow

KNOWN = ("make_safe", "skid_plate_off", "replace:hv_cable", "storage")


def read(text: str, **more: object) -> tuple[PriceRow, ...]:
    return read_price_csv(text.encode(), KNOWN, **more)  # type: ignore[arg-type]  # by name


def faults(text: str, **more: object) -> tuple[str, ...]:
    with pytest.raises(PriceListError) as caught:
        read(text, **more)
    return caught.value.faults


def test_a_plain_list_is_read() -> None:
    text = "operation,hours,part\nmake_safe,1.2,\nreplace:hv_cable,1.10,386.00\n"
    assert read(text) == (
        PriceRow(operation="make_safe", hours=Decimal("1.2")),
        PriceRow(operation="replace:hv_cable", hours=Decimal("1.10"), part=Decimal("386.00")),
    )


@pytest.mark.parametrize(
    ("written", "mark", "expected"),
    [
        ("1234.50", None, "1234.50"),
        ("1,234.50", None, "1234.50"),
        ("1.234,50", None, "1234.50"),
        ("1234,5", None, "1234.5"),
        ("1 234,50", None, "1234.50"),
        ("1'234.50", None, "1234.50"),
        ("1.234", ",", "1234"),
        ("1.234.567", None, "1234567"),
        ("386", None, "386"),
    ],
)
def test_other_decimal_marks_are_read(written: str, mark: str | None, expected: str) -> None:
    (row,) = read(f"operation;part\nreplace:hv_cable;{written}\n", decimal_mark=mark)
    assert row.part == Decimal(expected)


def test_columns_are_matched_by_usual_headings_or_as_told() -> None:
    (row,) = read("Code;Labour hours;Quote date\nmake_safe;1,5;2031-03-14\n")
    assert row.hours == Decimal("1.5")
    assert str(row.quoted_on) == "2031-03-14"
    (row,) = read("Was;Std\nmake_safe;2\n", columns={"operation": "Was", "hours": "Std"})
    assert row.hours == Decimal(2)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no rows"),
        ("operation,hours\n", "no rows"),
        ("part,hours\n1,2\n", "No column names the operation"),
        ("operation,colour\nmake_safe,red\n", "No column has a number"),
        ("operation,hours,time\nmake_safe,1,2\n", "Two headings could be the column 'hours'"),
        ("operation,part\nmake_safe,1.234\n", "could be thousands or decimals"),
        ('operation,part\nmake_safe,1.5\nstorage,"1,5"\n', "some a comma"),
        ('operation,part\n"make_safe,1\n', "not CSV"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused_as_a_whole(text: str, said: str) -> None:
    assert said in faults(text)[0]


def test_every_fault_is_named_by_its_row_and_nothing_is_taken_in() -> None:
    text = (
        "operation,hours,part,quoted_on\n"
        "make_safe,1.2,,\n"
        "make_safe,1.3,,\n"
        "skid_plate_of,0.5,,\n"
        "replace:hv_cable,two,,\n"
        "storage,,-5.00,\n"
        ",1.0,,\n"
        "skid_plate_off,0.5,1.005,14.3.2031\n"
    )
    found = faults(text, decimal_mark=".")
    assert [fault.split(":")[0] for fault in found] == [
        "Row 3",
        "Row 4",
        "Row 5, hours",
        "Row 6, part",
        "Row 7",
        "Row 8, quoted_on",
    ]
    assert "stands in row 2 already" in found[0]
    assert "is it 'skid_plate_off'?" in found[1]


def test_more_than_two_decimals_of_money_are_a_fault_of_the_row() -> None:
    (fault,) = faults("operation,part\nmake_safe,1.005\n", decimal_mark=".")
    assert fault.startswith("Row 2: ")
    assert "two decimals" in fault


@pytest.mark.parametrize("data", [b"operation,hours\nmake_safe,1\xff", b"PK\x03\x04\0\0"])
def test_what_is_no_text_is_refused(data: bytes) -> None:
    with pytest.raises(PriceListError):
        read_price_csv(data, KNOWN)
