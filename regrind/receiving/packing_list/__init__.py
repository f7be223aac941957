"""A customer's packing list, pasted or as a file: which rows are tools, and each as the words of a line."""

from .cells import Refused
from .listing import PackingList, read_list

__all__ = ["PackingList", "Refused", "read_list"]
