"""What a delivery day or week should be: problem, search, proof, referee. No Django, no tables."""

from routing.core import RoutingError


class BadProblem(RoutingError):
    """A planning problem that contradicts itself."""
