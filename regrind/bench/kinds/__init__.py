"""What the bench asks, offers and checks of each kind of tool, a small module each, behind one interface (`kind`)."""
