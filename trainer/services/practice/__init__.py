"""Practice: tasks made and shown, answers marked and kept, what is to be practised next."""
