"""The rule book checks itself: complete, wired up, and nothing in it lowers."""

from collections.abc import Iterator
from dataclasses import dataclass

from rules.model import RulebookStamp
from rules.proofs.coverage import CoverageRow, Share, coverage, hv_shares
from rules.proofs.evidence import evidence_faults
from rules.proofs.evidence_examples import evidence_example_faults
from rules.proofs.evidence_steps import prove_evidence
from rules.proofs.overlay import prove_overlay
from rules.proofs.reach import reach_faults
from rules.proofs.steps import Proof, prove_damage, prove_steps
from rules.proofs.wiring import wiring_faults
from rules.proofs.work import work_faults
from rules.rulebook import Rulebook
from rules.terms import HvFlag, Risk

_RISKS = (Risk.HIGH, Risk.SERIOUS, Risk.MEDIUM, Risk.LOW)
_FLAGS = (HvFlag.AT_HV, HvFlag.WITHIN_REACH, HvFlag.NONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckReport:
    """What was checked and what was found. ``faults`` is empty when the book is in order.

    ``overlay`` compares the book with a shop's rules over it with the book alone.
    """

    stamp: RulebookStamp
    faults: tuple[str, ...]
    coverage: tuple[CoverageRow, ...]
    shares: tuple[Share, ...]
    steps: Proof
    damage: Proof
    evidence: Proof
    rule_count: int
    example_count: int
    step_count: int
    overlay: Proof | None = None
    changes: tuple[str, ...] = ()

    @property
    def is_in_order(self) -> bool:
        return not self.faults

    def lines(self) -> tuple[str, ...]:
        """Return the report as lines of text, the faults last."""
        return tuple(_lines(self))


def check(rulebook: Rulebook, *, over: Rulebook | None = None) -> CheckReport:
    """Check a loaded book as a whole. What one row can get wrong, the loader has refused.

    Give the book alone as ``over`` where a shop's overlay lies over it; then every pair, zone,
    distance class and setting of both is compared.
    """
    rows = coverage(rulebook)
    steps, damage = prove_steps(rulebook), prove_damage(rulebook)
    evidence = prove_evidence(rulebook)
    holes = tuple(
        f"{row.component}: {row.uncovered} of {row.cells} situations have no outcome."
        for row in rows
        if row.uncovered
    )
    laid = None if over is None else prove_overlay(over, rulebook)
    return CheckReport(
        stamp=rulebook.stamp,
        faults=(
            *(laid.faults if laid else ()),
            *holes,
            *wiring_faults(rulebook),
            *work_faults(rulebook),
            # A shop's stricter row may well leave one of ours idle.
            *(reach_faults(rulebook) if over is None else ()),
            *evidence_faults(rulebook),
            *evidence_example_faults(rulebook),
            *steps.faults,
            *damage.faults,
            *evidence.faults,
        ),
        coverage=rows,
        shares=hv_shares(rulebook),
        steps=steps,
        damage=damage,
        evidence=evidence,
        rule_count=len(rulebook.rule_ids) + len(rulebook.evidence.rules),
        example_count=len(rulebook.examples) + len(rulebook.evidence.examples),
        step_count=len(rulebook.work.steps),
        overlay=laid,
        changes=() if rulebook.overlay is None else rulebook.overlay.lines(),
    )


def _lines(report: CheckReport) -> Iterator[str]:
    yield f"Rule book {report.stamp.words}, SHA-256 {report.stamp.sha256}"
    yield from report.changes
    yield f"{report.rule_count} rules, {report.example_count} examples with a hit and a near miss"
    yield f"{report.step_count} steps of work, and work for every part; none waits for itself"
    yield ""
    yield "Part x damage x zone x distance, sizes not measured (per cent of each part's situations)"
    yield _columns("part", "cells", ["high", "serious", "medium", "low", "at HV", "reach", "none"])
    for row in report.coverage:
        shares = [_percent(row.risks.get(risk, 0), row.cells) for risk in _RISKS]
        shares += [_percent(row.flags.get(flag, 0), row.cells) for flag in _FLAGS]
        yield _columns(row.component, str(row.cells), shares)
    yield ""
    yield "HV flag over all parts in their usual zones, by distance to high voltage"
    for share in report.shares:
        flags = [f"{share.percent(flag):.0f} %" for flag in _FLAGS]
        yield f"  {share.name:<20} at HV {flags[0]}, within reach {flags[1]}, none {flags[2]}"
    yield ""
    yield f"Nothing lowers: {report.steps.steps} single steps of facts compared"
    yield f"                {report.damage.steps} steps of damage and identity compared"
    yield f"                {report.evidence.steps} steps of evidence compared"
    if report.overlay is not None:
        yield f"                {report.overlay.steps} situations compared with the book alone"
    yield f"{len(report.faults)} fault{'' if len(report.faults) == 1 else 's'}"
    yield from (f"  {fault}" for fault in report.faults)


def _columns(name: str, cells: str, shares: list[str]) -> str:
    return f"  {name:<34}{cells:>6}" + "".join(f"{share:>9}" for share in shares)


def _percent(count: int, of: int) -> str:
    return f"{100 * count / of:.0f}" if of else "-"
