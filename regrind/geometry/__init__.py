"""The geometry of a regrind: pure numbers, no Django, no database, no settings, no clock."""
