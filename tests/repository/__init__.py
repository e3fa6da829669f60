"""What must hold of the repository itself."""
