"""Why the ear decided as it did, line by line, for a person who wants to know."""

from __future__ import annotations

from collections.abc import Iterator

from companion.ear.decide import Verdict, calibration_of, interpret
from companion.ear.hear import Heard
from companion.phrases.phrasebook import Phrasebook

_TOLD = 3  # readings


def explain(heard: Heard, phrasebook: Phrasebook, ear: str = "embedded") -> list[str]:
    """What was heard in a recording, the best three meanings with their weights, and the reason for the decision."""
    return list(_lines(heard, phrasebook, ear))


def _lines(heard: Heard, phrasebook: Phrasebook, ear: str) -> Iterator[str]:
    verdict = heard.verdict
    if heard.utterance is None:
        yield "No speech was found in it."
        return
    hearing = heard.utterance.hearing
    yield f'Without a grammar it sounds like: "{hearing.free.text}"'
    meanings = interpret(hearing, phrasebook, heard.contexts, calibration_of(ear).prior_share)
    if not meanings:
        yield "No sentence that may be said comes near it."
        return
    for place, meaning in enumerate(meanings[:_TOLD], 1):
        behind = meanings[0].weight - meaning.weight
        means = " and ".join(map(str, meaning.commands)) or "nothing, it is only there to be told apart"
        yield f'{place}. "{meaning.text}", {behind:.1f} behind the best: {means}'
    yield reason(verdict, ear)


def reason(verdict: Verdict, ear: str = "embedded") -> str:
    """Why a verdict is what it is, in one sentence."""
    limits = calibration_of(ear)
    score = f"the score {verdict.score:.2f}"
    if verdict.decision == "act":
        return f"Acted on: {score} is at least {limits.act_at:.2f} and no other meaning is close."
    if verdict.decision == "ask" and len(verdict.alternatives) > 1:
        others = " or ".join(f'"{meaning.text}"' for meaning in verdict.alternatives)
        return f"Asked: it may be {others}, and they are too close to choose."
    if verdict.decision == "ask":
        return f"Asked: {score} is at least {limits.ask_at:.2f}, but what was heard is not sure enough to act on."
    if verdict.decision == "refuse" and not verdict.commands:
        return f"Not understood: {score} is high enough, but the sentence means nothing here."
    if verdict.decision == "refuse":
        return f"Not understood: {score} is below {limits.ask_at:.2f}."
    return f"Ignored: {score} is below {limits.refuse_at:.2f}, so it was most likely not meant for the companion."
