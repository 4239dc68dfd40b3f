"""Every sentence of the rule book page."""

from rules import RulebookStamp

NEXT = "look up a part, a damage or a rule; each line unfolds to its reason and its source."
SEARCH = "Search the whole book"
SEARCH_HINT = "Any trade word, a rule's number, a few letters: “orange ca”, “arc”, “HVF-011”"
SHOW = "Show"
EVERYTHING = "Everything"
PARTS = "Parts"
DAMAGE_TYPES = "Kinds of damage"
ZONES = "Zones"
RULES = "Rules"
ACTIONS = "Actions"
TESTS = "Tests"
SOURCES = "Sources"
RISK = "Risk and words"
CHANGES = "What changed"
TOPIC = "Rules about"
ALL_TOPICS = "every question"
UNFOLD = "Unfold every line"
DOWNLOAD = "The whole book as a Word document"
NOTHING = "Nothing in the book fits. Try fewer letters, or another word for it."
HOW_IT_WORKS = (
    "Rules are independent of each other: the worst that any of them asks for counts, and all "
    "actions and tests add up. What nobody has said counts as worse. No rule lowers anything. The "
    "vehicle maker's procedure, local codes and licensed, qualified practice come first; values "
    "from standards are shown with their source and are no limits for releasing a car."
)

ALSO_CALLED = "Also called"
WHAT_IT_IS = "What it is"
HV_PART = "is a high-voltage part"
HV_BEHIND = "high voltage runs behind it"
HV_HERE = "high voltage runs here"
HIGH_VOLTAGE = "High voltage"
FOUND_IN = "Found in"
BESIDE_IT = "Beside it"
SIZES = "Sizes that count"
ROLE = "Role"

WHEN = "When"
AND = "and"
BESIDE = "And beside it"
THEN = "Then"
BECAUSE = "Because"
RESTS_ON = "Rests on"
FIRES_ON = "Fires on"
NEAR_MISS = "Near miss"
ASKED_BY = "Asked for by"
MANDATORY = "Mandatory"
BY = "Done by"
PUBLISHER = "Published by"
EDITION = "Edition"
CHECKED = "How far it was checked"
SAYS = "What it says"
SHOPS_OWN = "The shop's own, over the book"
ORIGIN = "Written by"
USED_BY = "Rules that rest on it"

RISK_TABLE = "Risk table"
RISK_TABLE_HOW = (
    "How badly somebody can be hurt, and how likely that is, give the risk: the hazard now."
)
CONSEQUENCE = "Consequence"
LIKELIHOOD = "Likelihood"
CONSEQUENCE_MEANS = "Consequence: how badly somebody can be hurt, in our own words"
LIKELIHOOD_MEANS = "Likelihood: how likely that is, in our own words"
SIGNAL_WORDS = "Signal words"
QUARANTINE = "How far the car is kept away"
TRANSPORT = "How the battery may travel"


def mandatory_from(flag: str) -> str:
    return f"for every finding flagged “{flag}” or nearer; nothing and nobody can drop it"


def stamp(of_book: RulebookStamp) -> str:
    return f"Rule book {of_book.words} · SHA-256 {of_book.sha256}"


def number_found(number: int, kind: str) -> str:
    return f"{kind} ({number})"
