"""Cohort tables, statistics, charts and exports made in the background. Writes nothing that others rely on."""
