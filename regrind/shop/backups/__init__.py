"""Backups: one file holds the shop, with a manifest that lets a restore prove it is whole.

`archive` is the file, `database` the copy of the database in it; `making` writes one, `restoring` reads one back;
`folder` keeps dated ones and says which go; `attempts` says how the last one went; `views` is the owner's page.
"""
