"""Quotes: what a customer is asked about a box, the link to their page, and what they answered."""
