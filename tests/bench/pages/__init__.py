"""How long each page takes, for each role, over a database that somebody filled."""
