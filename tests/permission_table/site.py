"""Rows of the frame."""

from tests.permission_table.rows import SIGNED_IN, Row, everyone, for_

ROWS = [
    Row("site:home", get=for_(302, *SIGNED_IN), post=for_(405, *SIGNED_IN)),
    Row("site:help", get=everyone(200), post=everyone(405)),
    Row("site:health", get=everyone(200), post=everyone(405)),
]
