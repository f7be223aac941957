"""Mail to customers: an outbox in the database, and the command that sends it."""
