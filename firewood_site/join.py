"""An invited person chooses a password of their own and is signed in: by a link that works once."""

from allauth.mfa.utils import is_mfa_enabled
from django import forms
from django.contrib.auth import login
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from firewood_site import people, throttle
from firewood_site.access import found, is_seller, private
from firewood_site.clock import now
from firewood_site.refusals import refusals

TRIES_A_WHILE = 20
GONE = "This invitation was used, or is older than three days. Ask for another."


class JoinForm(forms.Form):
    password = forms.CharField(
        label="A password of your own, ten letters or more",
        max_length=80,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


@private
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Ask for the password, then lead to the pages of what they do."""
    person: User = found(people.invited(token), GONE)
    form = JoinForm(request.POST or None)
    if request.method == "POST":
        with refusals(form):
            throttle.count_or_refuse(request, "join", most=TRIES_A_WHILE, minutes=10)
            if form.is_valid():
                people.accept(user=person, password=form.cleaned_data["password"], at=now())
                if is_mfa_enabled(person):  # their second step is still asked for
                    return redirect("log-in")
                login(request, person)
                return redirect("today" if is_seller(person) else reverse("run-today"))
    context = {"form": form, "person": person}
    return render(request, "account/join.html", context, status=422 if form.errors else 200)
