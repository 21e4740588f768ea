"""One plain sentence for each statistic, to stand behind the help mark of the text that uses it."""

import re
from typing import Final

_EXPLAINED: Final = {
    r"\bp [=<]|\bp-values?\b": "p: how often a result at least this clear would come up if there "
    "were no difference.",
    r"α": "α, risk of a false alarm: how often such a test shows a difference where there is none.",
    r"β": "β, risk of missing: how often such a test misses a difference (or a lead) as large as "
    "planned.",
    r"tested over \d+ assessors?": "Tested over assessors: two answers by one person are not two "
    "votes.",
    r"\bpower\b": "Power: how often such a session shows a difference this large, if there is one.",
    r"p_d|\bnotice": "Share who notice (p_d): of every 100 assessors, how many notice the "
    "difference rather than guess.",
    r"\bLead\b|\blead\b": "Lead: how much more often one sample is chosen than the other.",
    r"d′": "d′, sensory distance, in standard deviations of one perception: 1 is easily missed, "
    "3 is plain to nearly everyone.",
    r"95 % (?:\w+ )?intervals?|\(95 %|, in brackets": "95 % interval: of many such intervals, 95 "
    "in 100 contain the true value.",
    r"\bHolm": "Holm's p: corrected for the number of tests, so that the risk of any false alarm "
    "stays at α.",
    r"γ": "γ: how much assessors differ in what they notice; 0 = alike, 1 = all or nothing.",
    r"\bWald|\b[Ss]equential": "Sequential: the test may stop early, at looks fixed beforehand.",
    r"ρ": "ρ: above 0 acid and sugar add up, below 0 one hides a part of the other.",
}


def explained(text: str) -> str | None:
    """What the statistics in a text mean, each once, as Markdown; None where there is none."""
    found = [meaning for term, meaning in _EXPLAINED.items() if re.search(term, text)]
    return "\n\n".join(found) or None
