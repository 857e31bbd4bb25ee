"""The seller's guide: its pages in order, and a search over their text."""

import re
from dataclasses import dataclass
from functools import cache

from django.template.loader import render_to_string

from firewood_site.seller.finding import begins


@dataclass(frozen=True, slots=True, kw_only=True)
class GuidePage:
    """One short page; `about`: more words it is found by."""

    slug: str
    title: str
    about: str

    @property
    def template(self) -> str:
        return f"guide/{self.slug}.html"


GUIDE = (
    GuidePage(slug="start", title="The first morning", about="sell today setup"),
    GuidePage(
        slug="cord",
        title="What a cord is, and measuring one",
        about="measure stack heap trailer loose heap number ticket",
    ),
    GuidePage(slug="dry", title="When wood is dry", about="moisture meter reading weigh season chimney burn"),
    GuidePage(slug="log", title="Log a morning's work", about="hours split stack haul offline signal photo"),
    GuidePage(
        slug="heap",
        title="What a heap is worth, and what to do with it",
        about="verdict choices split spread cover sell green",
    ),
    GuidePage(slug="prices", title="Prices", about="cord fraction drive far near tax least price sheet"),
    GuidePage(
        slug="requests",
        title="Requests, quotes and the waiting list",
        about="answer text phone counter price waiting",
    ),
    GuidePage(
        slug="mend",
        title="Putting things right",
        about="change order undo refund make-good credit mistake cancel",
    ),
    GuidePage(
        slug="money", title="Money", about="payments cash check transfer deposit owed books tax export bank"
    ),
    GuidePage(slug="days", title="Planning a delivery day", about="plan board route proven drag loads"),
    GuidePage(
        slug="road", title="On the road", about="driver phone offline deliver ticket late short spanish"
    ),
    GuidePage(
        slug="safe",
        title="Loading safely",
        about="weight tongue straps bridge chains payload towing overload",
    ),
    GuidePage(slug="earned", title="What it earned", about="margin hour profit load near far patch month"),
    GuidePage(slug="season", title="The season ahead", about="advice week plan hours split plan year"),
    GuidePage(
        slug="keep",
        title="Keeping the books safe",
        about="backup people roles password restore erase health move",
    ),
)


def guide_page(slug: str) -> GuidePage | None:
    """The page of that name."""
    return next((page for page in GUIDE if page.slug == slug), None)


def guide_pages_with(words: tuple[str, ...]) -> tuple[GuidePage, ...]:
    """Pages that hold all the words, the ones that name them in their title first."""
    found = [page for page in GUIDE if all(begins(word, _text_of(page)) for word in words)]
    return tuple(sorted(found, key=lambda page: not all(begins(word, page.title) for word in words)))


@cache
def _text_of(page: GuidePage) -> str:
    text = re.sub(r"<[^>]+>", " ", render_to_string(f"{page.template}#text"))
    return f"{page.title} {page.about} {text}".lower()
