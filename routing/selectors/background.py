"""What a page says of work that goes on in the background."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Background:
    """Such work, under way or over. is_silent: its worker has stopped before it was done."""

    state: str  # waiting, running, or how it ended
    state_words: str
    message: str
    is_silent: bool

    @property
    def is_waiting(self) -> bool:
        return self.state == "waiting"

    @property
    def is_live(self) -> bool:
        return self.state in ("waiting", "running") and not self.is_silent
