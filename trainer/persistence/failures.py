"""Which failures of a database pass by themselves or by making room, told apart by what the drivers say.

*Source*: SQLite result codes (sqlite.org, rescode.html): SQLITE_BUSY 5, SQLITE_READONLY 8, SQLITE_IOERR 10,
SQLITE_CORRUPT 11, SQLITE_FULL 13, SQLITE_CANTOPEN 14, SQLITE_NOTADB 26, SQLITE_IOERR_SHMSIZE 4874. PostgreSQL error
codes (postgresql.org, errcodes-appendix): class 53 insufficient resources, of it 53100 disk full; class 57P, server
shut down or starting; class 58, failures of the system; class 08, connections; 25006, a server that only reads;
40P01 deadlock detected; 55P03 lock not available.
"""

from __future__ import annotations

import sqlite3
from typing import TypeGuard

from sqlalchemy.exc import DBAPIError

_BUSY, _READ_ONLY, _IO_ERROR, _FULL, _CANNOT_OPEN = 5, 8, 10, 13, 14
_DAMAGED, _NO_DATABASE = 11, 26
_DISK_FULL = "53100"
_WAITED_FOR_EACH_OTHER, _WAITED_TOO_LONG = "40P01", "55P03"
# The index of the log lies in a file that cannot grow.
_NO_ROOM_FOR_THE_INDEX = 4874
_OUT_OF_REACH = ("08", "53", "57P", "58", "25006")


def is_of_database(error: BaseException | None) -> TypeGuard[Exception]:
    """True for what a driver raised, also while a connection is made, which the library hands on as it is."""
    return isinstance(error, DBAPIError | sqlite3.Error)


def is_out_of_room(error: Exception) -> bool:
    """True where the disk is full: nothing was written."""
    grown_not = getattr(_orig(error), "sqlite_errorcode", None) == _NO_ROOM_FOR_THE_INDEX
    return grown_not or _primary_code(error) == _FULL or _state(error) == _DISK_FULL


def is_out_of_reach(error: Exception) -> bool:
    """True where the database does not answer, is being started, or cannot read or write its files."""
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return True
    code = _primary_code(error)
    if code is not None:
        return code in {_BUSY, _READ_ONLY, _IO_ERROR, _CANNOT_OPEN}
    state = _state(error)
    # A connection that could not be made at all carries no code.
    return state.startswith(_OUT_OF_REACH) if state else _is_of_the_connection(error)


def is_of_others(error: Exception) -> bool:
    """True where others held what was wanted: the same may succeed a moment later."""
    return _state(error) in {_WAITED_FOR_EACH_OTHER, _WAITED_TOO_LONG}


def told(error: Exception) -> str | None:
    """A line for whoever runs a command; None for what is a mistake of the program."""
    if not is_of_database(error):
        return None
    said = str(_orig(error)).partition("\n")[0]
    if is_out_of_room(error):
        return f"no room is left where the database lies; nothing of this was kept ({said})"
    if _primary_code(error) in {_DAMAGED, _NO_DATABASE}:
        return f"the database cannot be read: {said}; restore a copy into a new place: trainer db restore"
    if is_out_of_reach(error):
        return f"the database does not answer: {said}; look at TRAINER_DATABASE_URL, and try again"
    return None


def _orig(error: Exception) -> BaseException | None:
    return error.orig if isinstance(error, DBAPIError) else error


def _primary_code(error: Exception) -> int | None:
    extended = getattr(_orig(error), "sqlite_errorcode", None)
    return None if extended is None else int(extended) & 0xFF


def _state(error: Exception) -> str:
    return str(getattr(_orig(error), "sqlstate", None) or "")


def _is_of_the_connection(error: Exception) -> bool:
    return type(error).__name__ == "OperationalError" and getattr(_orig(error), "sqlite_errorcode", None) is None
