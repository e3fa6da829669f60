"""Filters that say figures of the reports: ``{{ rate|rate }}``, ``{{ share|percent }}``, ``{{ rate|interval }}``."""

from __future__ import annotations

from django import template

from checkoffs.reports import words

register = template.Library()
register.filter("percent", words.percent)
register.filter("interval", words.interval)
register.filter("rate", words.said)
