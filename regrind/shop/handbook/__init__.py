"""The user's handbook: docs/handbook, shown in the program under /help/."""
