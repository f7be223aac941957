"""People, their tablets, how they sign in and what they may open."""
