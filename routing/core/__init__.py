"""Rules of the road as pure functions: no tables, no clock, no road engine.

The family of errors starts here; each error stands beside the function that raises it.
"""

from inventory.core.sentences import Refusal


class RoutingError(Refusal):
    """An anticipated failure of the road; its text is a full sentence fit for the reader."""


class DriverRefusal(RoutingError):
    """A failure a driver may meet."""
