"""Rows that are written once: what happened is corrected by another row, never by an edit."""

from typing import Any, NoReturn

from django.db import models


class WrittenOnce(Exception):
    """Somebody tried to change a row of a ledger."""

    def __init__(self, table: str) -> None:
        super().__init__(f"{table} is a ledger: add a correcting row, do not change or delete one.")


class LedgerQuerySet(models.QuerySet):
    def update(self, **kwargs: Any) -> NoReturn:
        raise WrittenOnce(self.model._meta.label)

    def delete(self) -> NoReturn:
        raise WrittenOnce(self.model._meta.label)


class LedgerModel(models.Model):
    """Insert only. Erasing a person's data goes through services that name their reason."""

    objects = LedgerQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise WrittenOnce(self._meta.label)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise WrittenOnce(self._meta.label)
