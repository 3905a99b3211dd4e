"""Why the ear decided as it did, line by line, for a person who wants to know."""

from __future__ import annotations

from collections.abc import Iterator

from companion.ear.decide import (
    Interpretation,
    Verdict,
    calibration_of,
    close_call,
    interpret,
    is_word_alone,
    line_for,
    score_of,
    weigh,
)
from companion.ear.hear import Heard
from companion.ear.recogniser import Hearing
from companion.phrases.phrasebook import Phrasebook

_TOLD = 3  # readings


def explain(heard: Heard, phrasebook: Phrasebook, ear: str = "embedded") -> list[str]:
    """What was heard in a recording, the best three meanings with their scores, and the reason for the decision.

    A score is the calibrated chance, 0 to 1, that this was what was said. Each meaning is scored as if it were the best
    one, so the scores need not add up to one.
    """
    return list(_lines(heard, phrasebook, ear))


def _lines(heard: Heard, phrasebook: Phrasebook, ear: str) -> Iterator[str]:
    if heard.utterance is None:
        yield "No speech was found in it."
        return
    hearing = heard.utterance.hearing
    yield f'Without a grammar it sounds like: "{hearing.free.text}"'
    meanings = interpret(hearing, phrasebook, heard.contexts, calibration_of(ear))
    if not meanings:
        yield "Ignored: no sentence that may be said comes near it."
        return
    for place, meaning in enumerate(meanings[:_TOLD], 1):
        means = " and ".join(map(str, meaning.commands)) or "nothing; it is only there to be told apart"
        yield f'{place}. "{meaning.text}", score {_score(hearing, meanings, meaning, ear):.2f}: {means}.'
    yield reason(heard.verdict, meanings, ear)


def _score(hearing: Hearing, meanings: tuple[Interpretation, ...], meaning: Interpretation, ear: str) -> float:
    """The score that a meaning has where it is held against all the others."""
    others = tuple(other for other in meanings if other is not meaning)
    return score_of(weigh(hearing, (meaning, *others)), calibration_of(ear))


def reason(verdict: Verdict, meanings: tuple[Interpretation, ...], ear: str = "embedded") -> str:
    """Why a verdict is what it is, in one sentence; `meanings` as they were weighed, the best first."""
    limits = calibration_of(ear)
    line = line_for(meanings[0], limits)
    score = f"the score {verdict.score:.2f}"
    match verdict.decision:
        case "act":
            return f"Acted on: {score} is at least {line:.2f} and no other meaning is close."
        case "ask" if len(verdict.alternatives) > 1:
            others = " or ".join(f'"{meaning.text}"' for meaning in verdict.alternatives)
            return f"Asked: it may be {others}, and they are too close to choose."
        case "ask" if verdict.evidence and is_word_alone(meanings[0], verdict.evidence) and verdict.score >= line:
            return f'Asked: {score} is high enough, but without a grammar nothing of "{verdict.text}" is heard.'
        case "ask" if verdict.score >= line and not close_call(meanings, limits):
            return f"Asked: {score} is high enough, but not just after other talk or beside the companion's own voice."
        case "ask" if verdict.score >= line:
            return f'Asked: {score} is high enough, but "{meanings[1].text}" sounds nearly the same.'
        case "ask":
            return f"Asked: {score} is at least {limits.ask_at:.2f}, but below {line:.2f}."
        case "refuse" if not verdict.commands:
            return f"Not understood: {score} is high enough, but the sentence means nothing here."
        case "refuse":
            return f"Not understood: {score} is below {limits.ask_at:.2f}."
        case _ if verdict.score >= limits.refuse_at:
            return "Ignored: it sounds like talk that was not meant for the companion."
        case _:
            return (
                f"Ignored: {score} is below {limits.refuse_at:.2f}, so it was most likely not meant for the companion."
            )
