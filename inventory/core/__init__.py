"""Rules of the wood as pure functions: no tables, no clock.

The family of errors starts here; each error stands beside the function that raises it.
"""


class InventoryError(Exception):
    """An anticipated failure of the wood's rules; its text is a full sentence fit for the reader."""
