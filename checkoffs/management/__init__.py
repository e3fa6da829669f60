"""Commands a person types; each is a thin door to an action or a query."""
