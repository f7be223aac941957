"""Forms on their way: once-only keys, drafts, what was held back, how a row stands at a clash."""
