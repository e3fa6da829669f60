"""What a student sees and does afterwards: missed steps, open tasks, acknowledgement. Not the record itself."""
