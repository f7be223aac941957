"""What happens at the counter, one plain function per event: the only writers of this room."""

from .boxes import change_batch, note_foreign_item, open_batch
from .counts import name_found, name_missing, recount
from .lines import (
    MOST_PIECES,
    change_family,
    change_line,
    confirm_dimensions,
    log_line,
    merge_lines,
    set_aside,
    split_line,
)
from .mending import cancel_batch, change_owner, move_line
from .tools import complain, count_marks, follow, forget_tool, give_tags, withdraw_complaint

__all__ = [
    "MOST_PIECES",
    "cancel_batch",
    "change_batch",
    "change_family",
    "change_line",
    "change_owner",
    "complain",
    "confirm_dimensions",
    "count_marks",
    "follow",
    "forget_tool",
    "give_tags",
    "log_line",
    "merge_lines",
    "move_line",
    "name_found",
    "name_missing",
    "note_foreign_item",
    "open_batch",
    "recount",
    "set_aside",
    "split_line",
    "withdraw_complaint",
]
