"""Friday 18 September with the job's own road table."""

import pytest

from tests.factories.day import Friday, job_matrix, make_friday


@pytest.fixture
def friday(db, business, monkeypatch) -> Friday:
    monkeypatch.setattr("routing.selectors.rig_roads.matrix_between", job_matrix)
    return make_friday()
