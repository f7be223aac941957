"""Pure documents: values in, PDF bytes out. No Django, no database, no clock, no request."""
