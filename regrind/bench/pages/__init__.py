"""What is on the bench, a line, a piece: the pages that only show."""
