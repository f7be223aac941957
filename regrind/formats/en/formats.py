"""Days as a shop writes them, whatever the browser's country: 3 Dec 2026."""

DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y H:i"
TIME_FORMAT = "H:i"
SHORT_DATE_FORMAT = "j M Y"
