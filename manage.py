#!/usr/bin/env python
"""The ordinary Django command line. `python3 start.py manage ...` runs it inside the project's own environment."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "regrind.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except Exception as error:
        from regrind.shop.web.trouble import in_words

        if not in_words(error):
            raise
        sys.exit(f"{in_words(error)} ({str(error).strip()})")
