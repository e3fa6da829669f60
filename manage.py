#!/usr/bin/env python3
"""Command-line entry point of the web application."""

import os
import sys

from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "checkoffs.settings")
    execute_from_command_line(sys.argv)
