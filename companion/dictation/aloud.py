"""Writing down aloud, with the same devices, voice, keys and screen as the work on a pattern."""

from __future__ import annotations

from dataclasses import replace

from companion.aloud import opened_aloud
from companion.dictation.dictating import Dictating
from companion.live import Conversation
from companion.screen import choose_screen
from companion.settings import Settings
from companion.turn import Turn
from companion.wording.tools import joined


def write_down_aloud(dictating: Dictating, *, ear: str, as_json: bool, settings: Settings) -> None:
    """Listens and answers until the pattern is finished or put away, or the designer ends it by Ctrl-C.

    What was worked is written then too. Raises `MakerError`: no microphone, no loudspeaker, no voice, no speech model,
    or the file cannot be written.
    """
    screen = choose_screen(as_json=as_json, plain=settings.plain or settings.answers == "print")
    with opened_aloud(settings, ear, trouble=screen.tell) as aloud, screen:
        reminder = dictating.listen_for(settings.attention or "")
        first = dictating.opening()
        opening: Turn | None = replace(first, reply=joined(reminder, first.reply))
        try:
            while not dictating.over:
                # The designer may come to speak other terms, which is another book of phrases.
                with aloud.listener(dictating.called, dictating.contexts) as listener:
                    Conversation(dictating, aloud, listener, screen).run(opening)
                opening = None
        finally:
            dictating.end()
