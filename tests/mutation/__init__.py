"""Changes every line of the rules a little, one change at a time, and asks whether a test notices."""
