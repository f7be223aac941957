"""How a complaint ends: ground again free, credited or refused."""
