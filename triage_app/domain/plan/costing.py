"""Operations and the shop's figures -> rows of money that can be added up by hand."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from rules.work import Charge, Labour
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.decision import gross
from triage_app.domain.plan.figures import Figures, Overlap, Price
from triage_app.domain.plan.money import cents, percent_of
from triage_app.domain.plan.operations import Operation, Workshop

_ONCE = "once: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One operation with its money, in whole cents. ``amount`` is the sum of the four before it.

    ``missing`` names what the shop's figures do not give; then ``amount`` is None, never zero. A
    deduction, for work that several operations share, has negative ``labour_amount``.
    """

    operation: str
    label: str
    place: str
    kind: str
    labour: Labour
    hours: Decimal | None = None
    rate: Decimal | None = None
    days: Decimal | None = None
    labour_amount: int = 0
    part_amount: int = 0
    outside_amount: int = 0
    markup_amount: int = 0
    amount: int | None = None
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """Rows in the order of work, with their sum: every figure can be added up again by hand.

    ``net`` and what follows it leave out the rows without an amount; ``missing`` counts those.
    """

    rows: tuple[Row, ...]
    net: int
    tax: int
    total: int
    missing: int


class Costing:
    """The money of one case's operations."""

    def __init__(self, workshop: Workshop, figures: Figures) -> None:
        self._workshop = workshop
        self._figures = figures
        self._rows = {name: self._row(one) for name, one in workshop.operations.items()}
        self._shared = {
            name: tuple(self._overlaps_of(one)) for name, one in workshop.operations.items()
        }
        self._check_overlaps()

    @property
    def weights(self) -> Mapping[str, int | None]:
        """Cents of each operation, less what it shares; what is shared stands once, by itself."""
        weights: dict[str, int | None] = {}
        for name, row in self._rows.items():
            shared = self._shared[name]
            weights |= {key: cost for key, _, cost in shared}
            own = row.amount
            weights[name] = None if own is None else own - sum(cost for _, _, cost in shared)
        return weights

    def brings(self, names: Iterable[str]) -> frozenset[str]:
        """Return operations with all they bring along, shared work included."""
        done = self._workshop.closure(names)
        return done | {key for name in done for key, _, _ in self._shared[name]}

    def bill(self, done: Iterable[str]) -> Bill:
        """Return the rows of these operations, as ``brings`` gives them, and their sum."""
        names = [name for name in done if not name.startswith(_ONCE)]
        rows = [self._rows[one.name] for one in self._workshop.in_order(names)]
        rows += self._deductions(names)
        net = sum(row.amount for row in rows if row.amount is not None)
        return Bill(
            rows=tuple(rows),
            net=net,
            tax=percent_of(net, self._figures.tax_percent),
            total=gross(net, self._figures.tax_percent),
            missing=sum(row.amount is None for row in rows),
        )

    def row(self, name: str) -> Row:
        """Return the row of one operation."""
        return self._rows[name]

    def _deductions(self, names: Iterable[str]) -> Iterator[Row]:
        counted = Counter(shared for name in names for shared in self._shared[name])
        for (key, overlap, cost), times in sorted(counted.items(), key=lambda one: one[0][0]):
            if times < 2:
                continue
            labour = self._labour(overlap)
            yield Row(
                operation=key,
                label=f"Counted once: {overlap.name}",
                place="",
                kind="deduction",
                labour=labour,
                hours=-overlap.hours * (times - 1),
                rate=self._figures.rates[labour],
                labour_amount=-cost * (times - 1),
                amount=-cost * (times - 1),
            )

    def _row(self, operation: Operation) -> Row:
        figures = self._figures
        price = figures.prices.get(operation.name) or figures.prices.get(operation.price_id)
        missing = tuple(self._missing(operation, price or Price()))
        empty = Row(
            operation=operation.name,
            label=operation.label,
            place=operation.place,
            kind=operation.kind,
            labour=operation.labour,
            missing=missing,
        )
        return empty if missing or price is None else self._filled(empty, operation, price)

    def _filled(self, row: Row, operation: Operation, price: Price) -> Row:
        figures, charges = self._figures, operation.charges
        hours = price.hours if Charge.HOURS in charges else None
        rate = figures.rates[operation.labour] if hours is not None else None
        labour = 0 if hours is None or rate is None else cents(hours * rate)
        part = cents(price.part or Decimal(0)) if Charge.PART in charges else 0
        outside = cents(price.outside or Decimal(0)) if Charge.OUTSIDE in charges else 0
        days = figures.storage_days if Charge.DAYS in charges else None
        outside += cents((price.day or Decimal(0)) * days) if days is not None else 0
        markup = percent_of(outside, figures.outside_markup_percent)
        return Row(
            operation=row.operation,
            label=row.label,
            place=row.place,
            kind=row.kind,
            labour=row.labour,
            hours=hours,
            rate=rate,
            days=days,
            labour_amount=labour,
            part_amount=part,
            outside_amount=outside,
            markup_amount=markup,
            amount=labour + part + outside + markup,
        )

    def _missing(self, operation: Operation, price: Price) -> Iterator[str]:
        charges = operation.charges
        if Charge.HOURS in charges and price.hours is None:
            yield "hours"
        if Charge.HOURS in charges and operation.labour not in self._figures.rates:
            yield f"rate for {operation.labour} labour"
        if Charge.PART in charges and price.part is None:
            yield "price of the part"
        if Charge.OUTSIDE in charges and price.outside is None:
            yield "price of the outside service"
        if Charge.DAYS in charges and price.day is None:
            yield "price of a day"
        if Charge.DAYS in charges and self._figures.storage_days is None:
            yield "number of days"

    def _overlaps_of(self, operation: Operation) -> Iterator[tuple[str, Overlap, int]]:
        """Yield the overlaps that an operation with a price is in: key, overlap, cents."""
        row = self._rows[operation.name]
        if row.rate is None:
            return
        for overlap in self._figures.overlaps:
            if operation.price_id in overlap.operations:
                at = f"@{operation.place}" if "@" in operation.name else ""
                yield f"{_ONCE}{overlap.name}{at}", overlap, cents(overlap.hours * row.rate)

    def _labour(self, overlap: Overlap) -> Labour:
        return next(
            one.labour
            for one in self._workshop.operations.values()
            if one.price_id in overlap.operations
        )

    def _check_overlaps(self) -> None:
        """Refuse an overlap over different rates, and more shared than an operation has."""
        kinds: dict[str, Labour] = {}
        for name, shared in self._shared.items():
            row = self._rows[name]
            if sum(cost for _, _, cost in shared) > row.labour_amount:
                raise InvalidInputError(
                    f"The overlaps take more hours off '{row.label}' than it has."
                )
            for _, overlap, _ in shared:
                if kinds.setdefault(overlap.name, row.labour) is not row.labour:
                    raise InvalidInputError(
                        f"The overlap '{overlap.name}' joins {kinds[overlap.name]} and "
                        f"{row.labour} labour; an overlap is of one kind."
                    )
