"""The rule book as something to read: rules, limits, terms, sources, editions, examples, exercises, search."""
