"""Figures that belong together, asked in one field as they are said: 12 x 6 x 2 + 1, 7 am to 5 pm; and boxes
to tick as one group. Each part keeps its own field with its bounds, and its own name in `cleaned_data`."""

import re
from dataclasses import dataclass
from decimal import Decimal
from itertools import zip_longest
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext

from firewood_site.measured import NAMED, MeasuredField, bare_figure
from firewood_site.seller.forms.fields import ClockField, with_half_of_day
from inventory.core.local import in_local_units

BETWEEN = re.compile(r"\s*(?:[x×/;+–]|,(?!\d)|\b(?:to|of|from|by)\b)\s*|(?<=[\dm])\s*-\s*")
BARE = re.compile(r"\d[\d,]*(\.\d+)?")
TEXT = {"autocomplete": "off"}
LONGEST = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Parts of one field, in order, and what stands between them when they are shown."""

    label: Any  # words, or a promise of them in the reader's language; so is the help
    parts: tuple[str, ...]
    between: tuple[str, ...] = (" / ",)
    help_text: Any = ""

    def shown(self, texts: list[str]) -> str:
        """The parts as one line; nothing where there are none."""
        while texts and not texts[-1]:
            texts.pop()
        shown = texts[0] if texts else ""
        for place, text in enumerate(texts[1:]):
            shown += f"{self.between[min(place, len(self.between) - 1)]}{text}"
        return shown.strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticks:
    """Yes-or-no fields of a form as one group of boxes."""

    label: Any
    parts: tuple[str, ...]


class LineForm(forms.Form):
    """A form some of whose fields are asked together."""

    lines: ClassVar[dict[str, Line]] = {}
    ticks: ClassVar[dict[str, Ticks]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parts: dict[str, forms.Field] = {}
        self.line_of: dict[str, str] = {}
        self.initial = {**(self.initial or {})}
        self.put_together()

    def put_together(self) -> None:
        """Lines and groups in the places of their first parts; said again once fields were added."""
        groups: dict[str, Line | Ticks] = {**self.lines, **self.ticks}
        for name, group in groups.items():
            self.line_of |= {part: name for part in group.parts if part in self.fields}
        found: dict[str, forms.Field] = {}
        for name, field in self.fields.items():
            if name not in self.line_of:
                found[name] = field
                continue
            self.parts[name] = field
            line = self.line_of[name]
            found.setdefault(line, field)
        self.fields = {
            name: self._together(name) if name in groups else field for name, field in found.items()
        }
        self._take_parts(groups)

    def _together(self, name: str) -> forms.Field:
        if name in self.ticks:
            group = self.ticks[name]
            chosen = [part for part in group.parts if self.initial.get(part, self.parts[part].initial)]
            self.initial.setdefault(name, chosen)
            return forms.MultipleChoiceField(
                label=group.label, required=False, widget=forms.CheckboxSelectMultiple,
                choices=[(part, self.parts[part].label) for part in group.parts],
            )  # fmt: skip
        line = self.lines[name]
        fields = [self.parts[part] for part in line.parts]
        told = [self.initial.get(part, field.initial) for part, field in zip(line.parts, fields, strict=True)]
        is_begun = told[0] not in (None, "") or any(self.initial.get(part) for part in line.parts)
        if is_begun and (any(told) or any(field.required for field in fields)):
            texts = [_text(field, value) for field, value in zip(fields, told, strict=True)]
            self.initial.setdefault(name, line.shown(texts))
        return forms.CharField(
            label=line.label, help_text=line.help_text, max_length=LONGEST,
            required=any(field.required for field in fields), widget=forms.TextInput(attrs=TEXT),
        )  # fmt: skip

    def _take_parts(self, groups: dict[str, Line | Ticks]) -> None:
        """What an older address or a script names part by part."""
        for name, group in groups.items():
            named = [part for part in group.parts if self.add_prefix(part) in self.data]
            if not named:
                continue
            data: Any = self.data.copy()  # type: ignore[attr-defined]
            if isinstance(group, Line):
                whole = zip_longest(group.parts, BETWEEN.split(data.get(self.add_prefix(name), "")))
                texts = [str(data.get(self.add_prefix(part), text or "")) for part, text in whole if part]
                data[self.add_prefix(name)] = group.shown(texts)
            else:
                ticked = [part for part in group.parts if data.get(self.add_prefix(part))]
                data.setlist(name, ticked) if hasattr(data, "setlist") else data.update({name: ticked})
            self.data = data

    def _clean_fields(self) -> None:
        super()._clean_fields()  # type: ignore[misc]
        for name, group in self.ticks.items():
            ticked = self.cleaned_data.pop(name, ())
            self.cleaned_data |= {part: part in ticked for part in group.parts}
        for name, line in self.lines.items():
            if name in self.fields and name not in self.errors:
                self._clean_line(name, line, self.cleaned_data.pop(name, ""))

    def _clean_line(self, name: str, line: Line, said: str) -> None:
        texts = BETWEEN.split(said.replace("km/h", "kmh")) if said.strip() else []
        if len(texts) > len(line.parts):
            asked = line.shown([self._label(part) for part in line.parts])
            self.add_error(name, gettext("That is more than asked for: write {parts}.").format(parts=asked))
            return
        last_of = {  # a unit said once, behind the last of its kind, is for all of them
            getattr(self.parts[part], "kept", ""): text for part, text in zip(line.parts, texts, strict=False)
        }
        for part, text, after in zip_longest(line.parts, texts, texts[1:], fillvalue=""):
            field = self.parts[part]
            if isinstance(field, ClockField):
                text = with_half_of_day(text, after)
            try:
                last = NAMED.search(last_of.get(getattr(field, "kept", ""), ""))
                self.cleaned_data[part] = field.clean(_with_unit(field, text, last))
            except forms.ValidationError as error:
                self.add_error(name, [f"{self._label(part)}: {message}" for message in error.messages])

    def _label(self, part: str) -> str:
        return in_local_units(str(self.parts[part].label))

    def add_error(self, field: str | None, error: Any) -> None:
        """What is wrong with a part stands at its line."""
        super().add_error(self.line_of.get(field or "", field), error)


def _text(field: forms.Field, value: Any) -> str:
    """A part as it is read in its line."""
    shown = field.prepare_value(value)
    if shown in (None, ""):
        return ""
    return f"{Decimal(str(shown)).normalize():f}" if isinstance(field, forms.IntegerField) else str(shown)


def _typed(field: forms.Field, text: str) -> str:
    """A figure without what stands around it: $7, 6,600 lb, 2,5."""
    said = text.strip()
    return bare_figure(said) if isinstance(field, forms.IntegerField) else said


def _with_unit(field: forms.Field, text: str, last: re.Match[str] | None) -> str:
    """A part with the unit that was said once, behind the last of its kind."""
    if not isinstance(field, MeasuredField):
        return _typed(field, text)
    shares = last and BARE.fullmatch(text.strip()) and field.takes(last[1])
    return f"{text} {last[1]}" if last and shares else text
