"""The plan of a case: take prices and figures in, and work out what they come to."""

import logging
from collections.abc import Mapping

from rules import Rulebook
from rules.work import Charge
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.price_csv import read_price_csv
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId
from triage_app.domain.permissions import Action
from triage_app.domain.plan.commands import GiveFigures, ImportPrices, TypePrice
from triage_app.domain.plan.given import PlanFigures, PlanGiven, PriceRow, inputs_of
from triage_app.domain.plan.plan import Plan, PlanInputs, make_plan
from triage_app.domain.signed import Operator, Signed
from triage_app.services.permission import needs
from triage_app.services.ports import CaseStore, Clock

_log = logging.getLogger(__name__)


class Planning:
    def __init__(self, *, cases: CaseStore, clock: Clock, rulebook: Rulebook) -> None:
        self._cases = cases
        self._clock = clock
        self._book = rulebook

    def inputs(self, case: Case) -> PlanInputs:
        """Return what people gave for the plan; InvalidInputError without a currency."""
        return inputs_of(case.plan or PlanGiven(), case.incident)

    def plan(self, case: Case) -> Plan:
        """Return the plan of this case value; nothing is stored.

        Raises InvalidInputError where what was given cannot be reckoned with.
        """
        numbers: dict[str, int] = {finding.id: finding.number for finding in case.findings}
        return make_plan(case_facts(case), self._book, self.inputs(case), numbers=numbers)

    def price_ids(self) -> frozenset[str]:
        """Return every operation that a price list may name."""
        work = self._book.work
        parts = (f"{kind}:{part}" for part, kind in work.works)
        tests = (f"test:{test}" for test in self._book.open_tests)
        return frozenset([*work.steps, *parts, *tests])

    def needed(self, case: Case) -> Mapping[str, frozenset[Charge]]:
        """Return every operation that this case may come to, with what the list must give."""
        plan = self.plan(case)
        added = {
            name
            for question in plan.needs.questions
            for outcome in question.outcomes
            for name in outcome.adds
        }
        roots = {*plan.needs.certain, *added}
        if plan.needs.whole_battery is not None:
            roots.add(plan.needs.whole_battery)
        shop = plan.needs.workshop
        done = [shop.operations[name] for name in shop.closure(roots)]
        return {one.price_id: one.charges for one in sorted(done, key=lambda one: one.price_id)}

    @needs(Action.PLAN)
    def import_prices(
        self,
        case_id: CaseId,
        data: bytes,
        *,
        by: Operator,
        file_name: str,
        columns: Mapping[str, str] | None = None,
        decimal_mark: str | None = None,
        invented: bool = False,
    ) -> Case:
        """Take a price list in whole, in the place of the one before.

        Raises PriceListError with every fault, by row; then nothing is stored. NotFoundError.
        """
        rows = read_price_csv(data, self.price_ids(), columns=columns, decimal_mark=decimal_mark)
        command = ImportPrices(
            file_name=file_name, sha256=sha256_of(data), rows=rows, invented=invented
        )
        return self._apply(case_id, command, by)

    @needs(Action.PLAN)
    def type_price(self, case_id: CaseId, row: PriceRow, *, by: Operator) -> Case:
        """Put one price on this case; a row without figures takes it back.

        ``row.operation`` is an id of the list, or the name of one operation of this case. Raises
        InvalidInputError for an operation that nobody knows.
        """
        case = self._cases.get(case_id)
        if row.operation not in self.price_ids() | self._names(case):
            raise InvalidInputError(f"There is no operation '{row.operation}' in this case.")
        return self._apply(case_id, TypePrice(row=row), by)

    @needs(Action.PLAN)
    def give_figures(
        self,
        case_id: CaseId,
        figures: PlanFigures,
        *,
        by: Operator,
        base: PlanFigures | None = None,
    ) -> Case:
        """Give figures and choices, the total-loss rule among them.

        With ``base`` only what differs from it is changed. Raises InvalidInputError for a rule or
        a test that the book does not know, StaleCaseError, NotFoundError.
        """
        chosen = figures.total_loss
        if chosen is not None and chosen.rule_id not in self._book.total_loss:
            raise InvalidInputError(
                f"The book has no total-loss rule '{chosen.rule_id}'; see them with: underbody "
                "total-loss"
            )
        for one in figures.directed:
            if one.test not in self._book.open_tests:
                raise InvalidInputError(f"The rule book has no test '{one.test}'.")
        return self._apply(case_id, GiveFigures(figures=figures, base=base), by)

    def _names(self, case: Case) -> frozenset[str]:
        if not case.incident.currency:
            return frozenset()
        return frozenset(self.plan(case).needs.workshop.operations)

    def _apply(self, case_id: CaseId, command: AnyCommand, by: Operator) -> Case:
        signed = Signed(by=by.name, at=self._clock())
        applied = self._cases.apply(case_id, command, signed)
        if applied.after != applied.before:
            _log.info("%s case=%s", command.kind.replace(" ", "_"), case_id)
        return applied.after
