"""What findings are made of, and what they are made with."""
