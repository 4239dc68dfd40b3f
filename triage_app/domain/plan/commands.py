"""Changes of what was given for the plan: a price list, one price, figures and choices."""

from dataclasses import dataclass, replace
from typing import ClassVar

from triage_app.domain.case import Case
from triage_app.domain.ids import Sha256
from triage_app.domain.merging import merged
from triage_app.domain.plan.given import PlanFigures, PlanGiven, PriceList, PriceRow
from triage_app.domain.signed import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportPrices:
    """Take a whole price list in, in the place of the one before; typed prices stay."""

    kind: ClassVar[str] = "price list taken in"
    file_name: str
    sha256: Sha256
    rows: tuple[PriceRow, ...]
    invented: bool = False

    def apply(self, case: Case, signed: Signed) -> Case:
        given = case.plan or PlanGiven()
        known = given.price_list
        if known is not None and known.sha256 == self.sha256 and known.rows == self.rows:
            return case
        new = PriceList(
            file_name=self.file_name,
            sha256=self.sha256,
            rows=self.rows,
            invented=self.invented,
            imported=signed,
        )
        return replace(case, plan=replace(given, price_list=new))


@dataclass(frozen=True, slots=True, kw_only=True)
class TypePrice:
    """Type the price of one operation of this case; a blank row gives the list's back its place."""

    kind: ClassVar[str] = "price typed"
    row: PriceRow

    def apply(self, case: Case, signed: Signed) -> Case:  # noqa: ARG002 - one signature for all
        given = case.plan or PlanGiven()
        others = tuple(row for row in given.edits if row.operation != self.row.operation)
        edits = others if self.row.is_blank else (*others, self.row)
        edits = tuple(sorted(edits, key=lambda row: row.operation))
        if edits == given.edits:
            return case
        return replace(case, plan=replace(given, edits=edits))


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveFigures:
    """Give figures and choices. With ``base``, as first shown, only what differs is changed."""

    kind: ClassVar[str] = "plan figures given"
    figures: PlanFigures
    base: PlanFigures | None = None

    def apply(self, case: Case, signed: Signed) -> Case:
        given = case.plan or PlanGiven()
        figures = self.figures
        if self.base is not None:
            figures = merged(self.base, figures, given.figures)
        if figures == given.figures:
            return case
        by = given.total_loss_by
        if figures.total_loss != given.figures.total_loss:
            by = None if figures.total_loss is None else signed
        return replace(case, plan=replace(given, figures=figures, total_loss_by=by))


PlanCommand = ImportPrices | TypePrice | GiveFigures
