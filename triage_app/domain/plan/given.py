"""What people gave for the plan of a case, as it stands on record. Absent is not given."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from rules import OpenTestId
from rules.work import Labour
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import Sha256
from triage_app.domain.plan.decision import TotalLossChoice
from triage_app.domain.plan.figures import Figures, Overlap, Price, checked_percent
from triage_app.domain.plan.money import checked_amount
from triage_app.domain.plan.plan import PlanInputs
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Incident, checked_text


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One row of a price list. ``operation`` is an id of the rule book, or of this case."""

    operation: str
    hours: Decimal | None = None
    part: Decimal | None = None
    outside: Decimal | None = None
    day: Decimal | None = None
    supplier: str = ""
    quoted_on: date | None = None

    def __post_init__(self) -> None:
        if not checked_text(self.operation, "The operation"):
            raise InvalidInputError("A price needs the operation that it is for.")
        supplier = self.price.supplier  # checks all the rest too
        object.__setattr__(self, "supplier", supplier)

    @property
    def price(self) -> Price:
        return Price(
            hours=self.hours,
            part=self.part,
            outside=self.outside,
            day=self.day,
            supplier=self.supplier,
            quoted_on=self.quoted_on,
        )

    @property
    def is_blank(self) -> bool:
        return (self.hours, self.part, self.outside, self.day) == (None, None, None, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """A price list that was taken in whole. ``sha256`` is that of the file."""

    file_name: str
    sha256: Sha256
    rows: tuple[PriceRow, ...]
    invented: bool = False
    imported: Signed

    def __post_init__(self) -> None:
        names = [row.operation for row in self.rows]
        if len(set(names)) != len(names):
            raise InvalidInputError("The price list has an operation twice.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourRate:
    """What one hour of a kind of labour costs."""

    labour: Labour
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class OverlapRow:
    """Hours that lie inside several operations and are done once."""

    name: str
    hours: Decimal
    operations: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MakerDirection:
    """A test that the vehicle maker directs to be done, with the document that says so."""

    test: OpenTestId
    document: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "document", checked_text(self.document, "The document"))
        if not self.document:
            raise InvalidInputError("Name the maker's document that directs this test.")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceRow:
    """The shop's probability that one test comes out in one way."""

    question: str
    outcome: str
    probability: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigures:
    """Figures and choices of the case beside its prices. None is not given.

    ``total_loss`` None: no rule is chosen, and none is assumed.
    """

    rates: tuple[LabourRate, ...] = ()
    overlaps: tuple[OverlapRow, ...] = ()
    tax_percent: Decimal | None = None
    outside_markup_percent: Decimal | None = None
    storage_days: Decimal | None = None
    salvage: Decimal | None = None
    total_loss: TotalLossChoice | None = None
    directed: tuple[MakerDirection, ...] = ()
    chances: tuple[ChanceRow, ...] = ()

    def __post_init__(self) -> None:
        kinds = [rate.labour for rate in self.rates]
        if len(set(kinds)) != len(kinds):
            raise InvalidInputError("A kind of labour has two rates.")
        for rate in self.rates:
            checked_amount(rate.amount, f"The rate for {rate.labour} labour")
        for what, percent in (
            ("The tax", self.tax_percent),
            ("The mark-up on outside services", self.outside_markup_percent),
        ):
            if percent is not None:
                checked_percent(percent, what)
        checked_amount(self.salvage, "The salvage value")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanGiven:
    """All of it: the list, prices typed for this case, figures, and who chose the rule and when."""

    price_list: PriceList | None = None
    edits: tuple[PriceRow, ...] = ()
    figures: PlanFigures = PlanFigures()
    total_loss_by: Signed | None = None

    @property
    def prices(self) -> Mapping[str, Price]:
        """Prices by operation; what was typed goes before the list."""
        listed = () if self.price_list is None else self.price_list.rows
        return {row.operation: row.price for row in (*listed, *self.edits)}


def inputs_of(given: PlanGiven, incident: Incident) -> PlanInputs:
    """Return what the plan is made with.

    Raises InvalidInputError where the case has no currency: money is of one currency in a case.
    """
    figures = given.figures
    chances: dict[str, dict[str, Decimal]] = {}
    for row in figures.chances:
        chances.setdefault(row.question, {})[row.outcome] = row.probability
    if not incident.currency:
        raise InvalidInputError("Give the currency of the case with its value, at intake.")
    return PlanInputs(
        figures=Figures(
            currency=incident.currency,
            prices=given.prices,
            rates={rate.labour: rate.amount for rate in figures.rates},
            overlaps=tuple(
                Overlap(name=row.name, hours=row.hours, operations=frozenset(row.operations))
                for row in figures.overlaps
            ),
            tax_percent=figures.tax_percent or Decimal(0),
            outside_markup_percent=figures.outside_markup_percent or Decimal(0),
            storage_days=figures.storage_days,
            invented=given.price_list is not None and given.price_list.invented,
        ),
        value=incident.pre_loss_value,
        salvage=figures.salvage,
        total_loss=figures.total_loss,
        directed=frozenset(one.test for one in figures.directed),
        chances=chances,
    )
