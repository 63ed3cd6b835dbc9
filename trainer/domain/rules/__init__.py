"""The rule book: one module per subject, every rule listed by hand in ``book``."""
