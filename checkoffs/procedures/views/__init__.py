"""Pages of the procedures room: the list, bringing a list in, the editor, the rule, publishing."""
