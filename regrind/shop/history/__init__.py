"""History kept by the database, its hash chain, and what a database must be to be worked on."""
