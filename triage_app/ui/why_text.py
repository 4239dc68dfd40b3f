"""Every sentence of the why panel: which rule decided what, on which facts, from which source."""

from collections.abc import Sequence

from rules import Consequence, Likelihood
from triage_app.ui.words import CONSEQUENCES, LIKELIHOODS

WHY = "Why: the rules that decided, their facts and their sources"
HAZARD = "Hazard now"
CONSEQUENCE = "How badly somebody can be hurt"
LIKELIHOOD = "How likely that is"
HIGH_VOLTAGE = "High voltage"
REPAIR = "What the part itself needs"
OTHERS = "Rules that fired too and decided nothing, because something worse counts"
NO_RULE = "No rule of the book speaks of this, so the worst counts."
NO_FLAG = (
    "No rule flags it on what was recorded. That is no statement about voltage, and it clears no "
    "part of the car."
)
FACTS = "Met by"
TAKEN_AS_WORST = "Nobody has said, so taken as worst"
TOGETHER = "Together with"
RESTS_ON = "Rests on"
WRITTEN_BY = "Written by"
SHOP = "the shop itself, over the rule book"
SAID_ABOVE = "as above"
NO_CITATION = "no document is cited"


def risk_sentence(consequence: Consequence, likelihood: Likelihood, risk: str) -> str:
    """Say how the table is read, such as "1 Catastrophic and A Frequent give High"."""
    return (
        f"consequence {consequence.value} {CONSEQUENCES[consequence]} and likelihood "
        f"{likelihood.value} {LIKELIHOODS[likelihood]} give {risk}"
    )


def level(title: str, words: str) -> str:
    return f"{title}: {words}"


def partners(numbers: Sequence[int]) -> str:
    listed = ", ".join(str(number) for number in numbers)
    return f"finding {listed}" if len(numbers) == 1 else f"findings {listed}"


def basis(word: str) -> str:
    return {
        "regulation": "a regulation",
        "standard": "a standard",
        "common practice": "common practice of the trade",
        "judgement": "judgement of the rule book; nobody has published it",
    }.get(word, word)
