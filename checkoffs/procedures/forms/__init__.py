"""Forms of the procedures room: bringing a list in, one step, the rule."""
