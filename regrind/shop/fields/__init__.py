"""Form fields and columns of lengths, dates and angles: text in, exact values out."""
