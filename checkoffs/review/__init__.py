"""What a student sees and does afterwards: missed steps, open tasks, acknowledgement of receipt. Not the record itself."""
