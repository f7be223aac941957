#!/usr/bin/env python
"""The ordinary Django command line. `python3 start.py manage ...` runs it inside the project's own environment."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "regrind.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as error:
        from regrind.shop.web.failures import explain

        if not explain(error):
            raise
        sys.exit(f"{explain(error)} ({str(error).strip()})")
