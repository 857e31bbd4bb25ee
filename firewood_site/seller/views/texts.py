"""The words of every message, in each language, with what fills their gaps."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from firewood_site.access import seller_required
from firewood_site.clock import now
from firewood_site.letter_names import letter_name
from firewood_site.letters import facts_of
from firewood_site.refusals import refusals
from firewood_site.seller.buyer_words import BuyerText
from orders.core.own_texts import LONGEST, gaps_for
from orders.core.phrases import LetterText, MissingWords, letter, letter_kinds
from orders.selectors.orders import newest_order
from orders.selectors.own_texts import reworded, texts_sent
from orders.services.own_texts import drop_texts, keep_texts


class TextsForm(forms.Form):
    text = BuyerText(
        label="Text message", max_length=LONGEST["text"], widget=forms.Textarea(attrs={"rows": 4})
    )
    body = BuyerText(
        label="E-mail, its subject on the first line",
        max_length=LONGEST["subject"] + LONGEST["body"],
        widget=forms.Textarea(attrs={"rows": 12}),
    )

    def __init__(self, data: Any, *, initial: dict[str, str]) -> None:
        whole = f"{initial['subject']}\n\n{initial['body']}"
        super().__init__(data, initial={**initial, "body": whole})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        subject, _newline, body = cleaned.get("body", "").strip().partition("\n")
        if "body" not in self.errors and not body.strip():
            self.add_error("body", "Write the subject on the first line, and the e-mail below it.")
        return {**cleaned, "subject": subject.strip(), "body": body.strip()}


@seller_required
def texts(request: HttpRequest) -> HttpResponse:
    """One kind of message in one language: its words, kept or given up for ours."""
    kinds, languages = letter_kinds(), dict(settings.LANGUAGES)
    asked = request.POST if request.method == "POST" else request.GET
    kind = asked.get("kind", "") if asked.get("kind") in kinds else kinds[0]
    language = asked.get("language", "") if asked.get("language") in languages else "en"
    here = f"{reverse('texts')}?kind={kind}&language={language}"
    by: dict[str, Any] = {"kind": kind, "language": language, "at": now(), "who": request.user.get_username()}
    form = TextsForm(request.POST if "text" in request.POST else None, initial=texts_sent(kind, language))
    if request.method == "POST" and request.POST.get("act") == "ours":
        drop_texts(**by)
        messages.success(request, "Our words are sent again.")
        return redirect(here)
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            keep_texts(**form.cleaned_data, **by)
            messages.success(request, "Your words are sent from now on.")
            return redirect(here)
    own = reworded()
    context = {
        "form": form,
        "kind": kind,
        "language": language,
        "kinds": [(name, letter_name(name), (name, language) in own) for name in kinds],
        "languages": languages.items(),
        "gaps": gaps_for(kind),
        "is_own": (kind, language) in own,
        "example": _example(kind, language),
    }
    return render(request, "seller/money/texts.html", context, status=422 if form.errors else 200)


def _example(kind: str, language: str) -> LetterText | None:
    """The message as the newest order would get it; nothing before the first."""
    view = newest_order()
    if view is None:
        return None
    facts = dict(facts_of(view))
    for gap in gaps_for(kind):
        facts[gap] = facts.get(gap) or f"[{gap.replace('_', ' ')}]"
    try:
        return letter(kind, language=language, facts=facts, own=texts_sent(kind, language))
    except MissingWords:
        return None
