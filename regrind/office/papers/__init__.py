"""From stored rows to the values of each paper. Nothing is computed here; what was not measured is left empty."""
