"""Twenty years of an invented shop, for measuring: rows as the bench and the office write them, in bulk.

Not the demo: nothing here is told by the pages' actions, which would take days. The history's triggers stay on, so
every row that is to leave history does. The sums of the review are rebuilt at the end.
"""
