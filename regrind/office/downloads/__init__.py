"""The record as tables to take away: boxes, pieces, readings, papers, customers, families."""
