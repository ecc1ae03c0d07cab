"""What is typed: what is filled in already, what it comes to, what is doubtful, and the record it makes."""
