"""How long data is kept, and a person's right to a copy and to be forgotten."""
