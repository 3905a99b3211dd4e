from __future__ import annotations

import pytest

from companion.phrases.phrasebook import Phrasebook

PIECES = ("Nut (make 2)", "Body", "Left ear", "Right ear", "Leg 2", "Head & collar", "Tail")


@pytest.fixture(scope="session")
def book() -> Phrasebook:
    """A phrasebook with pieces whose names are said otherwise than printed."""
    return Phrasebook(PIECES, projects=["The pocket mouse", "Lantern"])
