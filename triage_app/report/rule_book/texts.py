"""Every sentence that the printed rule book says of itself; all else is the book's own."""

TITLE = "Rule book"
HEADER = "Rule book · a printed copy does not follow later changes"
FOOTER = (
    "High voltage: the vehicle maker's procedure comes first. A disconnected battery still holds "
    "its energy."
)
CONTENTS = "Contents"

FIRST_LEAD = "First of all:"
FIRST = (
    "The vehicle maker's procedure for the model comes first, together with local codes and work "
    "by licensed or otherwise qualified persons. A disconnected battery still holds its energy. "
    "Nothing in this book says that a vehicle is safe."
)
HOW = "How the book is read"
HOW_LINES = (
    "Every rule stands alone: when all of its “when” is met, it asks for its “then”. The order of "
    "the rules means nothing.",
    "The worst that any rule asks for counts; all actions and all tests add up. No rule lowers "
    "what another asks for, so further damage can never make an answer milder.",
    "What nobody has said counts as worse. Each row says so itself: “or nobody has said”, or "
    "“see” another row that speaks then.",
    "Two answers are given and never mixed: the hazard now, to people, until made safe and tested; "
    "and the repair that the part needs.",
    "The HV flag is apart from both. It is raised by what was found, and no test, reading or "
    "make-safe record takes it away.",
    "Each row names what it rests on. “Read” and “read in a copy” say how far we got to the text "
    "itself; “from memory”, “common practice” and “judgement” say that nobody can look it up.",
    "Values from standards are references for people who judge. They are not limits for releasing "
    "a vehicle; those are the maker's.",
)
RISK = "Risk"
RISK_INTRO = (
    "How badly somebody can be hurt (consequence) and how likely that is (likelihood) give the "
    "risk, which is the hazard now."
)
CONSEQUENCES = "Consequence: how badly somebody can be hurt"
LIKELIHOODS = "Likelihood: how likely that is"
SIGNAL_WORDS = "Signal words"
PARTS = "Parts"
PARTS_INTRO = (
    "What a person meets under the car, with the words that the trade also uses. “HV behind” is "
    "true of a typical electric car; the maker's layout decides."
)
DAMAGES = "Kinds of damage"
ZONES = "Zones"
RULES = "Rules"
RULES_INTRO = "Read each row aloud: when this, then that, because."
ACTIONS = "Actions, in the order in which they are done"
ACTIONS_INTRO = "Mandatory steps are added to every flagged finding; nobody can drop them."
TESTS = "Tests that may be outstanding"
TESTS_INTRO = (
    "Limits are the maker's. Where the maker's criterion is not at hand, finding it is itself an "
    "outstanding test."
)
ADVICE = "Where the car stands, and how its battery may travel"
ADVICE_INTRO = (
    "The strictest that any row asks for counts. No level and no class releases a car or a battery."
)
QUARANTINE = "How far the car is kept away"
TRANSPORT = "How the battery may travel"
UN_NUMBERS = "Dangerous-goods numbers"
EXAMPLES = "Examples"
EXAMPLES_INTRO = "For each rule, what makes it fire and a near miss that does not."
SOURCES = "Sources"
SOURCES_INTRO = "Each document once, with what the book takes from it and how far it was checked."
CHANGES = "What changed"


def subtitle(shop: str, stamp: str) -> str:
    return " · ".join(part for part in (shop, stamp) if part)


def printed(sha256: str, when: str, by: str) -> str:
    named = f", by {by}" if by else ""
    return f"SHA-256 of the tables {sha256}. Printed {when}{named}."
