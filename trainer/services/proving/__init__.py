"""The proof of many seeds, and what their tasks exercise."""
