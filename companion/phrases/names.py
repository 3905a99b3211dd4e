"""How printed names are said: "Nut (make 2)" is "the nut", "Leg 2" is "leg two", "Head & ears" is "head and ears"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from . import numbers
from .normal import plain

_ARTICLES = ("the ", "a ", "an ", "my ")


def spoken_forms(names: Sequence[str]) -> list[tuple[str, str]]:
    """Pairs of a template and the printed name it stands for, no template twice.

    A name may be said whole, without what stands in brackets, in the singular or the plural, and by its last words
    alone ("head" for "Mouse head"). The fuller way wins: where there are "Ear" and "Inner ear", "ear" is "Ear". Last
    words that several names share ("leg" for "Left leg" and "Right leg") stand for themselves, so that whoever looks
    the piece up can ask which.
    """
    found: dict[str, str] = {}
    for forms in (_whole, _in_other_number, _last_words):
        claims: dict[str, list[str]] = {}
        for name in dict.fromkeys(names):
            for form in forms(name):
                if form and form not in found and name not in claims.setdefault(form, []):
                    claims[form].append(name)
        found |= {form: owners[0] if len(owners) == 1 else form for form, owners in claims.items()}
    return [(_template(form), name) for form, name in found.items()]


def _whole(name: str) -> Iterable[str]:
    for text in (name, re.sub(r"[(\[].*?[)\]]", " ", name)):
        form = plain(text)
        for article in _ARTICLES:
            form = form.removeprefix(article)
        yield form


def _in_other_number(name: str) -> Iterable[str]:
    for form in _whole(name):
        yield from other_number(form)


def _last_words(name: str) -> Iterable[str]:
    for form in _whole(name):
        words = form.split()
        for start in range(1, len(words)):
            last = words[start:]
            if len(last[-1]) > 2 and numbers.value(" ".join(last)) is None and last[0] not in ("of", "and", "for"):
                yield " ".join(last)
                yield from other_number(" ".join(last))


def other_number(form: str) -> Iterable[str]:
    """The plural of a singular, the singular of a plural, as far as spelling tells."""
    if not form or not form[-1].isalpha() or len(form.split()[-1]) < 3:
        return
    if form.endswith("ies"):
        yield form[:-3] + "y"
    elif form.endswith(("ches", "shes", "xes", "sses")):
        yield form[:-2]
    elif form.endswith("s") and not form.endswith("ss"):
        yield form[:-1]
    elif form.endswith(("ch", "sh", "x", "ss")):
        yield form + "es"
    elif form.endswith("y") and form[-2] not in "aeiou":
        yield form[:-1] + "ies"
    else:
        yield form + "s"


def _template(form: str) -> str:
    """Numbers in a name may be said or written: "leg 2" is "leg (2|two)"."""
    words = []
    for word in form.split():
        number = numbers.value(word) if word.isdigit() else None
        words.append(word if number is None else f"({'|'.join((word, *numbers.ways(number)))})")
    return " ".join(words)
