"""Pages of the people room: people and roles; cohorts and the trail; how people come in."""
