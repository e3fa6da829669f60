"""The filters of report_words in a template."""

from __future__ import annotations

from django.template import Context, Template

from checkoffs.reports.statistics.intervals import wilson


def test_rate_share_and_interval() -> None:
    text = "{% load report_words %}{{ rate|rate }} / {{ rate.share|percent }} / {{ rate|interval }}"
    told = Template(text).render(Context({"rate": wilson(17, 41)}))
    assert told == "17 of 41, 41 % (28 to 57 %) / 41 % / 28 to 57 %"
