"""The shop's price list: its rows, edited and imported as a table."""
