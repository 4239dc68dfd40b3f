"""Proof that less evidence never leaves less: the order is written down, each single step tested.

From milder to worse, one record at a time:

- a test: criterion met, met without the maker's criterion, inconclusive, not met; and criterion
  met, no result, not met;
- the part: replaced, not replaced;
- the maker: says nothing, clean and protect, repair, test first, replace.

Whatever is on record, what no row answers stays as it was. Combinations only ever add.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise, product

from rules.engine import judge
from rules.evidence import Evidence, EvidenceKind, TestOutcome
from rules.firing import fired_alone
from rules.model import Assessment, Residual
from rules.proofs.setting import Pair, seen_in
from rules.proofs.steps import Proof
from rules.rulebook import Rulebook
from rules.second_pass import Judged, with_residuals
from rules.terms import Disposition, Likelihood, OpenTestId, Origin, RuleId

MET, WITHOUT_CRITERION = "criterion met", "met without the maker's criterion"
INCONCLUSIVE, NOT_MET, NO_RESULT = "inconclusive", "criterion not met", "no result"
_OUTCOMES = {
    MET: TestOutcome.MET,
    WITHOUT_CRITERION: TestOutcome.MET,
    INCONCLUSIVE: TestOutcome.INCONCLUSIVE,
    NOT_MET: TestOutcome.NOT_MET,
}
TEST_STEPS = (
    *pairwise((MET, WITHOUT_CRITERION, INCONCLUSIVE, NOT_MET)),
    *pairwise((MET, NO_RESULT, NOT_MET)),
)
SAID = (
    None,
    Disposition.CLEAN_AND_PROTECT,
    Disposition.REPAIR,
    Disposition.TEST_FIRST,
    Disposition.REPLACE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Records:
    """What is on record of one finding. A test that is not in ``results`` has no result."""

    results: Mapping[OpenTestId, str] = field(default_factory=dict)
    replaced: bool = False
    said: Disposition | None = None

    def with_result(self, test: OpenTestId, result: str) -> "Records":
        return replace(self, results={**self.results, test: result})

    def as_evidence(self) -> tuple[Evidence, ...]:
        """Return the records as the rules take them, about a finding without a name."""
        made = [
            Evidence(
                id=test,
                kind=EvidenceKind.TEST_RESULT,
                finding_id="",
                test=test,
                outcome=_OUTCOMES[result],
                has_criterion=result != WITHOUT_CRITERION,
            )
            for test, result in self.results.items()
            if result != NO_RESULT
        ]
        if self.replaced:
            made.append(Evidence(id="part", kind=EvidenceKind.PART_REPLACED, finding_id=""))
        if self.said is not None:
            kind = EvidenceKind.MAKER_INSTRUCTION
            made.append(Evidence(id="maker", kind=kind, finding_id="", instruction=self.said))
        return tuple(made)


def prove_evidence(book: Rulebook) -> Proof:
    """Compare every single step of every record, for every kind of finding; facts all unknown."""
    judgements = steps = 0
    faults: list[str] = []
    for pair, judged in _kinds(book):
        left = _Left(judged, book)
        for milder, worse, name in _steps(_bases(book, judged), _tests(book, judged)):
            low, high = left.by(milder), left.by(worse)
            steps += 1
            if high.likelihood > low.likelihood or high.disposition < low.disposition:
                faults.append(f"{'/'.join(pair)}: {name} leaves less ({_words(milder)}).")
        judgements += len(left.known)
        faults += [f"{'/'.join(pair)}: {fault}" for fault in left.faults]
    return Proof(judgements=judgements, steps=steps, faults=tuple(dict.fromkeys(faults)))


def _kinds(book: Rulebook) -> Iterator[tuple[Pair, Judged]]:
    """Yield one pair for each set of rules that fire on it and rows that speak of it."""
    known: set[tuple[frozenset[RuleId], frozenset[RuleId]]] = set()
    for pair in book.pairs:
        seen = seen_in(book, pair, {})
        judged = judge(seen, fired_alone(seen, book.pairs), [], book)
        fired = frozenset(one.reason.rule_id for one in judged.fired)
        kind = fired, frozenset(row.id for row in book.evidence.of(seen))
        if kind not in known:
            known.add(kind)
            yield pair, judged


def _tests(book: Rulebook, judged: Judged) -> tuple[OpenTestId, ...]:
    rows = book.evidence.of(judged.seen)
    return tuple(sorted(judged.asked.union(*(row.given.met for row in rows))))


def _bases(book: Rulebook, judged: Judged) -> Iterator[Records]:
    """Yield where the steps start: nothing met, just what each row needs met, everything met."""
    of_tests = {row.given.met for row in book.evidence.of(judged.seen) if not row.given.replaced}
    of_part = {row.given.met for row in book.evidence.of(judged.seen) if row.given.replaced}
    of_part |= {frozenset(_tests(book, judged)), frozenset()}
    starts = [(met, replaced) for met in of_part for replaced in (True, False)]
    starts += [(met, False) for met in of_tests - of_part]
    for met, replaced in starts:
        yield Records(results=dict.fromkeys(sorted(met), MET), replaced=replaced)


def _steps(
    bases: Iterable[Records], tests: tuple[OpenTestId, ...]
) -> Iterator[tuple[Records, Records, str]]:
    for base in bases:
        for test, (milder, worse) in product(tests, TEST_STEPS):
            name = f"{test} from '{milder}' to '{worse}'"
            yield base.with_result(test, milder), base.with_result(test, worse), name
        for less, more in pairwise(SAID):
            yield replace(base, said=less), replace(base, said=more), f"the maker's word {more}"
        if base.replaced:
            yield base, replace(base, replaced=False), "a part that was not replaced"


class _Left:
    """What remains of one finding under many records, each judged once."""

    def __init__(self, judged: Judged, book: Rulebook) -> None:
        self._judged, self._book = judged, book
        self.known: dict[tuple[object, ...], Assessment | Residual] = {}
        self.faults: list[str] = []

    def by(self, records: Records) -> Assessment | Residual:
        """Return what remains; without any record, the first answer itself."""
        results = frozenset(one for one in records.results.items() if one[1] != NO_RESULT)
        key = results, records.replaced, records.said
        if key not in self.known:
            first = with_residuals([self._judged], records.as_evidence(), self._book)[0]
            self.known[key] = first.residual or first
            for rule in _outvoted(self._judged, self.known[key], self._book):
                self.faults.append(
                    f"{rule} is lowered, though no row answers it ({_words(records)})."
                )
        return self.known[key]


def _outvoted(judged: Judged, left: Assessment | Residual, book: Rulebook) -> Iterator[RuleId]:
    """Yield rules that ask for more than is left though no row that counted answers them.

    A shop's own rule goes with the old part; no row of the book can name it.
    """
    counted = {reason.rule_id for reason in left.reasons}
    rows = [row for row in book.evidence.rules if row.id in counted]
    answered = {one for row in rows for one in row.answers}
    answered |= {rule.id for rule in book.rules.values() if rule.tightens in answered}
    is_renewed = any(row.given.replaced for row in rows)
    for fired in judged.fired:
        wants, work = fired.then.likelihood or Likelihood.F, fired.then.disposition or 0
        asks_more = wants < left.likelihood or work > left.disposition
        goes = is_renewed and fired.reason.origin is not Origin.BOOK
        if asks_more and not goes and fired.reason.rule_id not in answered:
            yield fired.reason.rule_id


def _words(records: Records) -> str:
    words = [f"{test}: {result}" for test, result in records.results.items()]
    words += ["part replaced"] if records.replaced else []
    words += [] if records.said is None else [f"the maker says {records.said.name.lower()}"]
    return ", ".join(words) or "nothing on record"
