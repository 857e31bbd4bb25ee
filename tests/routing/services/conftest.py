"""Friday, September 18 with the job's own road table."""

import pytest

from tests.factories.day import Friday, commit, drive_by_the_job, make_friday


@pytest.fixture
def friday(db, business, monkeypatch) -> Friday:
    drive_by_the_job(monkeypatch)
    return make_friday()


@pytest.fixture
def committed(friday, an_instant) -> Friday:
    return commit(friday, an_instant)
