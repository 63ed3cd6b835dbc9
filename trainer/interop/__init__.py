"""Open standards in and out."""
