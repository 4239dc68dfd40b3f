"""The plan of one case: what is done, what it can cost, and which test decides."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from rules import CaseFacts, OpenTestId, Rulebook
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan.chances import Chances, Expected, expected, missing_chances
from triage_app.domain.plan.costing import Bill, Costing
from triage_app.domain.plan.counting import count_out
from triage_app.domain.plan.decision import Line, NoLine, TotalLossChoice, line_of
from triage_app.domain.plan.figures import Figures
from triage_app.domain.plan.first_test import Tree, in_order_of_care, tree_of
from triage_app.domain.plan.hinges import Hinges, extremes, hinges_of
from triage_app.domain.plan.needs import FindingNeeds, Needs, Question, needs_of
from triage_app.domain.plan.space import Choice, Cluster, Cost, Problem, Space


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInputs:
    """What people gave for this plan. ``directed`` are tests that the vehicle maker directs.

    ``value`` is that of the car before the loss. ``chances`` are probabilities by test and outcome;
    a test without any has none, and none is ever made up.
    """

    figures: Figures
    value: Decimal | None = None
    salvage: Decimal | None = None
    total_loss: TotalLossChoice | None = None
    directed: frozenset[OpenTestId] = frozenset()
    chances: Mapping[str, Chances] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From least to most, in cents without tax. ``most`` is None where prices are missing.

    With prices missing ``least`` is what the known ones come to: it costs more.
    """

    least: int
    most: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingSpan:
    """What the work on one finding's own part can cost, without what it shares with others.

    ``decided_by`` are the tests of the finding on which the decision hinges.
    """

    finding_id: str
    needs: FindingNeeds
    span: Span
    questions: tuple[str, ...]
    decided_by: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that the plan says. Amounts are whole cents without tax unless said otherwise.

    ``if_met`` is the bill when every outstanding test is met, ``least_bill`` and ``most_bill``
    those of the least and the most (None where outcomes were too many to be counted out),
    ``battery_bill`` that of a whole battery when every test is met. ``by_part`` and ``by_battery``
    compare repairing part by part with a whole battery; ``by_part`` covers the outcomes that ask
    for no whole battery. ``without_chances`` are tests that lack probabilities.
    """

    inputs: PlanInputs
    needs: Needs
    space: Space
    line: Line | NoLine
    span: Span
    hinges: Hinges
    tree: Tree
    tests: tuple[Question, ...]
    test_costs: Mapping[str, int | None]
    findings: tuple[FindingSpan, ...]
    if_met: Bill
    least_bill: Bill | None
    most_bill: Bill | None
    by_part: Span | None
    by_battery: Span | None
    battery_bill: Bill | None
    expected: Expected | None
    without_chances: tuple[str, ...]

    def question(self, question_id: str) -> Question:
        return next(one for one in self.needs.questions if one.id == question_id)


def make_plan(
    facts: CaseFacts, book: Rulebook, inputs: PlanInputs, *, numbers: Mapping[str, int]
) -> Plan:
    """Return the plan of a case. ``numbers`` are those of the findings, by id.

    Raises InvalidInputError for figures or a total-loss choice that cannot be, and WorkCycleError
    where operations wait for one another.
    """
    return _Planner(facts, book, inputs, numbers).plan()


class _Planner:
    def __init__(
        self, facts: CaseFacts, book: Rulebook, inputs: PlanInputs, numbers: Mapping[str, int]
    ) -> None:
        self._inputs = inputs
        self._needs = needs_of(facts, book, numbers=numbers, directed=inputs.directed)
        self._costing = Costing(self._needs.workshop, inputs.figures)
        self._weights = self._costing.weights
        choice = inputs.total_loss
        if choice is not None and choice.rule_id not in book.total_loss:
            raise InvalidInputError(f"The book has no total-loss rule '{choice.rule_id}'.")
        rule = None if choice is None else book.total_loss[choice.rule_id]
        self._line = line_of(
            rule,
            choice,
            value=inputs.value,
            salvage=inputs.salvage,
            tax_percent=inputs.figures.tax_percent,
        )
        self._problem = Problem(
            certain=frozenset(self._needs.certain),
            choices=tuple(
                Choice(id=one.id, adds=tuple(outcome.adds for outcome in one.outcomes))
                for one in self._needs.questions
            ),
            replaced_by=self._needs.replaced_by,
            brings=self._costing.brings,
            weights=self._weights,
            whole_battery=self._needs.whole_battery,
        )
        self._space = count_out(self._problem)

    def plan(self) -> Plan:
        needs, space, line = self._needs, self._space, self._line
        questions = {one.id: one for one in needs.questions}
        test_costs = {one.operation: self._weights[one.operation] for one in needs.questions}
        hinges = hinges_of(space, line)
        tree = tree_of(space, line, questions, test_costs, hinges)
        part, battery = self._side_by_side()
        return Plan(
            inputs=self._inputs,
            needs=needs,
            space=space,
            line=line,
            span=self._span(),
            hinges=hinges,
            tree=tree,
            tests=in_order_of_care(needs.questions, test_costs),
            test_costs=test_costs,
            findings=tuple(self._finding(one, hinges) for one in needs.findings),
            if_met=self._bill(self._best()),
            least_bill=self._extreme_bill(most=False),
            most_bill=self._extreme_bill(most=True),
            by_part=part,
            by_battery=battery,
            battery_bill=self._bill(self._best(), battery=True)
            if needs.whole_battery is not None
            else None,
            expected=expected(space, line, questions, self._inputs.chances, tree, test_costs),
            without_chances=missing_chances(space, needs.questions, self._inputs.chances),
        )

    def _span(self) -> Span:
        least, most = extremes(self._space)
        costs = [cost for one in self._space.clusters for cost in one.chosen]
        costs += [one.most for one in self._space.bounds]
        is_unpriced = any(cost.is_unpriced for cost in (self._space.stable, *costs))
        return Span(least=least, most=None if is_unpriced else most)

    def _side_by_side(self) -> tuple[Span | None, Span | None]:
        """Return what repairing part by part and a whole battery can cost, over all outcomes."""
        if self._space.bounds:
            return None, None
        part = None if self._space.stable.is_battery else self._span_by(_without_battery)
        battery = None if self._needs.whole_battery is None else self._span_by(_with_battery)
        return part, battery

    def _span_by(self, pick: Callable[[Cluster], list[Cost]]) -> Span | None:
        stable = self._space.stable
        least = most = stable.net
        is_unpriced = stable.is_unpriced
        for cluster in self._space.clusters:
            costs = pick(cluster)
            if not costs:
                return None
            least += min(cost.net for cost in costs)
            most += max(cost.net for cost in costs)
            is_unpriced |= any(cost.is_unpriced for cost in costs)
        return Span(least=least, most=None if is_unpriced else most)

    def _best(self) -> dict[str, int]:
        """Return, for each question, the outcome that is met; the first where it has failed."""
        return {
            one.id: next((at for at, out in enumerate(one.outcomes) if out.met), 0)
            for one in self._needs.questions
        }

    def _bill(self, outcomes: Mapping[str, int], *, battery: bool = False) -> Bill:
        adds = [one.outcomes[outcomes.get(one.id, 0)].adds for one in self._needs.questions]
        return self._costing.bill(self._problem.done(adds, whole_battery=battery))

    def _extreme_bill(self, *, most: bool) -> Bill | None:
        if self._space.bounds:
            return None
        outcomes: dict[str, int] = {}
        is_battery = False
        for cluster in self._space.clusters:
            nets = [cost.net for cost in cluster.chosen]
            row = nets.index(max(nets) if most else min(nets))
            for name, each in cluster.outcomes(row).items():
                outcomes[name] = self._space.classes[name].index(each)
            if cluster.by_battery is not None:
                is_battery |= cluster.chosen[row] != cluster.by_part[row]
        return self._bill(outcomes, battery=is_battery)

    def _finding(self, needs: FindingNeeds, hinges: Hinges) -> FindingSpan:
        own = {name: kind for kind, name in needs.by_kind.items()}
        asked = [one for one in self._needs.questions if needs.finding_id in one.findings]
        added = {name for one in asked for outcome in one.outcomes for name in outcome.adds}
        possible = {needs.operation} | (added & own.keys())
        prices = [self._costing.row(name).amount for name in possible]
        base = self._costing.row(needs.operation).amount
        known = [price for price in prices if price is not None]
        can_fall_away = needs.is_in_battery and self._needs.whole_battery is not None
        return FindingSpan(
            finding_id=needs.finding_id,
            needs=needs,
            span=Span(
                least=0 if can_fall_away or base is None else base,
                most=None if None in prices else max(known),
            ),
            questions=tuple(one.id for one in asked),
            decided_by=tuple(one.id for one in asked if one.id in hinges.tests),
        )


def _without_battery(cluster: Cluster) -> list[Cost]:
    return [cost for cost in cluster.by_part if not cost.is_battery]


def _with_battery(cluster: Cluster) -> list[Cost]:
    return list(cluster.by_part if cluster.by_battery is None else cluster.by_battery)
