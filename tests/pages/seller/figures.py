"""A page's figures, and where each leads: a small tree of its HTML, its sums, and its links."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"input", "br", "meta", "link", "img", "use", "path", "line", "rect", "circle", "polyline"}
FIGURE = re.compile(r"−?\$[\d,]+(?:\.\d\d)?|[\d,.]*\d(?: \d+/\d+)? (?:h|hours?|cords?|acres?)\b")
BLOCKS = ("p", "li", "tr", "summary", "h3")


@dataclass(eq=False)
class Node:
    tag: str
    attrs: dict[str, str]
    parent: "Node | None" = None
    children: list["Node | str"] = field(default_factory=list)

    @property
    def classes(self) -> set[str]:
        return set(self.attrs.get("class", "").split())

    @property
    def text(self) -> str:
        return " ".join("".join(c if isinstance(c, str) else f"{c.text} " for c in self.children).split())

    def up(self) -> Iterator["Node"]:
        node: Node | None = self
        while node is not None:
            yield node
            node = node.parent

    def all(self, tag: str = "") -> Iterator["Node"]:
        for child in self.children:
            if isinstance(child, Node):
                if not tag or child.tag == tag:
                    yield child
                yield from child.all(tag)

    def within(self, *tags: str) -> "Node | None":
        return next((node for node in self.up() if node.tag in tags), None)


class _Tree(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = self.here = Node("", {})

    def handle_starttag(self, tag, attrs):
        node = Node(tag, {name: value or "" for name, value in attrs}, self.here)
        self.here.children.append(node)
        if tag not in VOID:
            self.here = node

    def handle_startendtag(self, tag, attrs):
        self.here.children.append(Node(tag, dict(attrs), self.here))

    def handle_endtag(self, tag):
        node = self.here.within(tag)
        if node is not None and node.parent is not None:
            self.here = node.parent

    def handle_data(self, data):
        self.here.children.append(data)


def main_of(html: str) -> Node:
    tree = _Tree()
    tree.feed(html)
    return next(tree.root.all("main"))


def number(text: str) -> float | None:
    """Dollars, hours or cords of a cell; None where it holds no plain number."""
    found = re.fullmatch(r"(−?)\u2060?\$?([\d,]+(?:\.\d+)?)(?: \w+)?", text.strip())
    return (-1 if found[1] else 1) * float(found[2].replace(",", "")) if found else None


def rows_of(table: Node, part: str) -> list[list[str]]:
    return [
        [cell.text for cell in row.children if isinstance(cell, Node)]
        for section in table.all(part)
        for row in section.all("tr")
    ]


def figures_told(main: Node) -> Iterator[tuple[str, Node]]:
    """Every figure outside forms, drawings and tables, with the block that says it."""
    for node in [main, *main.all()]:
        if node.within("form", "svg", "table", "figure"):
            continue
        for child in node.children:
            if isinstance(child, str):
                for found in FIGURE.findall(child):
                    row = next(
                        (n for n in node.up() if n.tag in BLOCKS or n.classes & {"row", "figure"}), node
                    )
                    yield found, row
