"""The owner's pages: the shop's settings and its people."""
