"""Slitting saws: hollow ground, so they are never ground on their sides (common practice)."""

from dataclasses import replace

from . import cutter

KIND = replace(
    cutter.KIND,
    labels={**cutter.KIND.labels, "damage": "The teeth"},
    hints={**cutter.KIND.hints, "width": "Over the teeth: it stays, the sides are never ground."},
    planner=replace(
        cutter.PLANNER,
        headless="slitting saw",
        build=cutter.make_build("slitting saw"),
        by_tooth=("tooth", "rim_depth", "rim_land"),
        asked=("rim_depth", "rim_land", "left_depth", "right_depth"),
        sections={"periphery": cutter.SECTIONS["periphery"]},
    ),
)
