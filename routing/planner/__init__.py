"""What a delivery day or week should be: problem, search, proof, referee. No Django, no tables."""

from routing.core import RoutingError


class BadProblem(RoutingError):
    """A planning problem that contradicts itself."""

    def __init__(self, *, where: str, problem: str) -> None:
        self.where = where
        self.problem = problem
        super().__init__("{where} {problem}.", where=where, problem=problem)
