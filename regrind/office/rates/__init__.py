"""The owner's dated prices and costs: of the shop, of a kind, of a family."""
