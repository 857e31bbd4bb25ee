"""Columns of parts on top of each other, up to three, such as wood dry, drying and green."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import BadDrawing, compact, labels_in_row, level, plot, rect, tick_words
from inventory.core.charts.scale import scale_over

LOOKS = ("near", "col", "planned")  # full green, full brown, outlined: told apart without color too
LOOK_WORDS = ("Green", "brown", "outlined")
PLOT_PX, FOOT_PX, HEAD_PX = 150, 26, 18
SHARE_WIDE = 0.72


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """One column and its parts from the foot up, none below zero."""

    label: str
    parts: tuple[float, ...]


def stacks_chart(
    stacks: Sequence[Stack], *, names: tuple[str, ...], key: str, title: str, finding: str = ""
) -> Chart:
    """Columns of the named parts over one axis.

    Errors
        BadDrawing: no columns, or more parts than looks to tell them apart.
    """
    if not stacks:
        raise BadDrawing("there is nothing to show yet")
    if len(names) > len(LOOKS) or any(len(stack.parts) != len(names) for stack in stacks):
        raise BadDrawing("a column has up to {most} parts, each with a name", most=len(LOOKS))
    scale = scale_over([sum(stack.parts) for stack in stacks])
    pitch = 100 / len(stacks)
    marks = []

    def down(value: float) -> float:
        return HEAD_PX + PLOT_PX * (1 - scale.across(value) / 100)

    for tick in scale.ticks:
        marks.append(level("axis" if tick == 0 else "grid", down=down(tick)))
        marks.append(tick_words(compact(tick), down=down(tick)))
    for place, stack in enumerate(stacks):
        foot, left = 0.0, pitch * (place + (1 - SHARE_WIDE) / 2)
        for look, part in zip(LOOKS, stack.parts, strict=False):
            if part > 0:
                top, low = down(foot + part), down(foot)
                marks.append(rect(look, across=left, wide=pitch * SHARE_WIDE, down=top, high=low - top))
            foot += part
    labels = [(pitch * (place + 0.5), stack.label) for place, stack in enumerate(stacks)]
    foot_at = HEAD_PX + PLOT_PX + FOOT_PX
    marks.append(labels_in_row(labels, down=foot_at, first=(0, len(stacks) - 1)))
    rows = tuple((stack.label, *(f"{part:.1f}" for part in stack.parts)) for stack in stacks)
    told = "; ".join(
        f"{stack.label} "
        + ", ".join(f"{name} {part:.1f}" for name, part in zip(names, stack.parts, strict=True))
        for stack in stacks
    )
    drawing = plot(height=foot_at + 8, parts="".join(marks), label=f"{title}: {told}")
    legend = ", ".join(f"{look}: {name}" for look, name in zip(LOOK_WORDS, names, strict=False))
    return Chart(
        key=key,
        title=title,
        finding=finding,
        drawing=f'<div class="plotbox">{drawing}</div>',
        legend=legend,
        table=Table(head=("", *names), rows=rows),
    )
