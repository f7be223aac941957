"""Bills: what is to be billed, bills and credit notes, payments, statements and the export."""
