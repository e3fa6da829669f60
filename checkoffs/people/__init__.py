"""Users, programs, cohorts, roles with dates, permission, first sign-in. Not what those people do."""
