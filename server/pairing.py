"""Who is paired: the codes that are alive and the browsers that were let in, in a file of their own.

`paired.sqlite` stands beside the workshop's file and not in it: a restore must not bring back a
device that was removed, and `ringwright pair` and `ringwright devices` change it while the server
runs. It is opened again for each piece of work, so that all of them see what the other did.

Of a code only a hash is kept, of a token (what a paired browser shows at each request) only a hash.
A wrong try is written down before the code is looked at, so that a thousand tries at the same moment
are no more than five.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import json
import secrets
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any, NamedTuple

from . import pairing_code
from .errors import Refusal, StoreBroken, StoreError, StoreFull, StoreTooNew
from .files import make_folder, sqlite_code
from .sentences import sentence
from .store import prepare_file

FILE = "paired.sqlite"
SCHEMA = 1  # PRAGMA user_version of the file

MINUTE = 60_000
DAY = 24 * 60 * MINUTE
CODE_LIFE = 10 * MINUTE
CODES = 10  # alive at once; one more ends the oldest
TRIES = 5  # wrong ones that end every code, and after which an address has to wait
TRIES_SPAN = 10 * MINUTE
AHEAD = MINUTE  # how far requests of one moment may overtake each other
IDLE_LIFE = 400 * DAY  # without a single request; a season offline is far less
WHOLE_LIFE = 3 * 365 * DAY  # from pairing on
COOKIE_AGE = 30 * DAY  # after which the browser gets its cookie again
SEEN_STEP = MINUTE  # how exactly `seen_ms` is kept
REMOVED_KEPT = 50  # removed devices that stay listed

_TABLES = [
    "CREATE TABLE kept (name TEXT PRIMARY KEY, value ANY NOT NULL) STRICT",
    "CREATE TABLE codes (hash BLOB NOT NULL, made_ms INTEGER NOT NULL) STRICT",
    "CREATE TABLE tries (n INTEGER PRIMARY KEY, at_ms INTEGER NOT NULL, who TEXT NOT NULL) STRICT",
    "CREATE TABLE devices (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL, device TEXT,"
    " token BLOB UNIQUE, made_ms INTEGER NOT NULL, seen_ms INTEGER NOT NULL, sent_ms INTEGER NOT"
    " NULL, removed_ms INTEGER) STRICT",
]
_DEVICES = "SELECT id, name, device, made_ms, seen_ms, sent_ms, removed_ms, token FROM devices"


class Paired(NamedTuple):
    """One browser that was let in; `device` is the name of its log, `sent_ms` when it last got its
    cookie. Times are milliseconds UTC since 1970.
    """

    id: int
    name: str
    device: str | None
    made_ms: int
    seen_ms: int
    sent_ms: int
    removed_ms: int | None
    token: bytes | None  # its hash; none once it was removed

    @property
    def until_ms(self) -> int:
        """When it ends by itself."""
        return min(self.seen_ms + IDLE_LIFE, self.made_ms + WHOLE_LIFE)


def _hashed(token: str) -> bytes:
    """A token has 256 bits of chance, so a plain hash of it cannot be guessed back."""
    return hashlib.sha256(token.encode("utf-8", "replace")).digest()


def network_of(address: str) -> str:
    """Whose tries are counted together: one IPv4 address, or the 64-bit network of an IPv6 one."""
    with suppress(ValueError):
        ip = ipaddress.ip_address(address.partition("%")[0])
        if ip.version == 6 and ip.ipv4_mapped is None:
            return str(ipaddress.ip_network((ip, 64), strict=False))
        return str(ip.ipv4_mapped if ip.version == 6 else ip)
    return address


class Pairing:
    """The pairings of one data folder. Methods raise StoreError where the file fails; each may be
    called from any thread.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        self._lock = threading.Lock()  # in turn, instead of waiting for SQLite's lock in the dark

    # the file

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        """The file inside one write transaction, made where there is none."""
        with self._lock:
            try:
                make_folder(self.path.parent)
                prepare_file(self.path)
                with closing(sqlite3.connect(self.path, isolation_level=None, timeout=10)) as db:
                    db.execute("PRAGMA synchronous = FULL")
                    db.execute("BEGIN IMMEDIATE")
                    self._lay(db)
                    yield db
                    db.execute("COMMIT")
            except sqlite3.Error as e:
                raise self._trouble(e) from e
            except OSError as e:
                why = sentence("pairing.unusable", path=self.path, error=e.strerror)
                raise StoreError(why) from None

    def _lay(self, db: sqlite3.Connection) -> None:
        (found,) = db.execute("PRAGMA user_version").fetchone()
        if found > SCHEMA:
            raise StoreTooNew(sentence("pairing.too_new", path=self.path))
        if found == SCHEMA:
            return
        for table in _TABLES:
            db.execute(table)
        db.execute("INSERT INTO kept VALUES ('salt', ?)", (secrets.token_bytes(16),))
        db.execute("PRAGMA user_version = 1")

    def _trouble(self, error: sqlite3.Error) -> StoreError:
        code = sqlite_code(error)
        if code == sqlite3.SQLITE_FULL:
            return StoreFull(sentence("pairing.disk_full"))
        if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return StoreBroken(sentence("pairing.damaged", path=self.path))
        return StoreError(sentence("pairing.unusable", path=self.path, error=error))

    def check(self) -> None:
        """Make the file where there is none; raises StoreError where it cannot be used."""
        with self._opened():
            pass

    def keep_way(self, way: dict[str, Any]) -> None:
        """Remember how this server is reached, for `ringwright pair`."""
        with self._opened() as db:
            db.execute("INSERT OR REPLACE INTO kept VALUES ('way', ?)", (json.dumps(way),))

    def way(self) -> dict[str, Any] | None:
        """How the server was last reached, as ways_in.way gives it; None if it was never served."""
        with self._opened() as db:
            row = db.execute("SELECT value FROM kept WHERE name = 'way'").fetchone()
        return dict(json.loads(row[0])) if row else None

    # codes

    def make_code(self, now_ms: int) -> tuple[str, int]:
        """(a new code, until when it lives)."""
        code = pairing_code.make()
        hashed = pairing_code.digest(code, self._salt())
        with self._opened() as db:
            _drop_old(db, now_ms)
            db.execute("INSERT INTO codes VALUES (?, ?)", (hashed, now_ms))
            db.execute(
                "DELETE FROM codes WHERE rowid NOT IN"
                " (SELECT rowid FROM codes ORDER BY rowid DESC LIMIT ?)",
                (CODES,),
            )
        return code, now_ms + CODE_LIFE

    def end_codes(self) -> None:
        """No code is alive any more."""
        with self._opened() as db:
            db.execute("DELETE FROM codes")

    def alive_until(self, now_ms: int) -> int | None:
        """Until when the newest code lives, None where none does."""
        with self._opened() as db:
            _drop_old(db, now_ms)
            (made,) = db.execute("SELECT max(made_ms) FROM codes").fetchone()
        return None if made is None else int(made) + CODE_LIFE

    def _salt(self) -> bytes:
        with self._opened() as db:
            return bytes(db.execute("SELECT value FROM kept WHERE name = 'salt'").fetchone()[0])

    # pairing

    def use_code(self, code: str, address: str, now_ms: int) -> None:
        """Use up a code that came from a network address.

        Raises Refusal 403 for a wrong one, with `tries_left`, and 429 for an address with too many
        wrong tries.
        """
        who = network_of(address)
        with self._opened() as db:
            n = _begin_try(db, who, now_ms)
        hashed = pairing_code.digest(code, self._salt())
        with self._opened() as db:
            _drop_old(db, now_ms)
            rows = db.execute("SELECT rowid, hash FROM codes").fetchall()
            right = [row for row, kept in rows if hmac.compare_digest(kept, hashed)]
            if right:
                db.execute("DELETE FROM codes WHERE rowid = ?", (right[0],))
                db.execute("DELETE FROM tries WHERE n = ?", (n,))
                return
            left, own_left = _tries_left(db), TRIES - len(_tries_of(db, who))
            if not left:
                db.execute("DELETE FROM codes")
        raise _wrong(left, own_left)

    def let_in(
        self, name: str, device: str | None, before: Paired | None, now_ms: int
    ) -> tuple[Paired, str]:
        """(the new pairing, its token). The browser's older pairing ends: the one it still shows
        (`before`), and those of the same `device`.
        """
        token = secrets.token_urlsafe(32)
        with self._opened() as db:
            db.execute("DELETE FROM devices WHERE id = ?", (before.id if before else 0,))
            db.execute("DELETE FROM devices WHERE device = ?", (device,))
            made = db.execute(
                "INSERT INTO devices (name, device, token, made_ms, seen_ms, sent_ms)"
                " VALUES (?, ?, ?, ?, ?, ?)",
                (name, device, _hashed(token), now_ms, now_ms, now_ms),
            )
            row = db.execute(_DEVICES + " WHERE id = ?", (made.lastrowid,)).fetchone()
        return Paired(*row), token

    # those who are in

    def meet(self, token: str, now_ms: int) -> tuple[Paired, bool] | None:
        """(whose token this is, whether its cookie is to be sent again); None for no pairing.

        When it was last seen is written down at most once a minute. A full disk does not keep out
        who is paired.
        """
        paired = self._find(token, now_ms)
        if paired is None:
            return None
        again = abs(now_ms - paired.sent_ms) >= COOKIE_AGE
        if again or abs(now_ms - paired.seen_ms) >= SEEN_STEP:
            sent_ms = now_ms if again else paired.sent_ms
            with suppress(StoreError), self._opened() as db:
                db.execute(
                    "UPDATE devices SET seen_ms = ?, sent_ms = ? WHERE id = ?",
                    (now_ms, sent_ms, paired.id),
                )
        return paired, again

    def _find(self, token: str, now_ms: int) -> Paired | None:
        """Reads only, so it needs no lock and no place on the disk."""
        if not self.path.is_file():
            return None
        hashed = _hashed(token)
        try:
            with closing(sqlite3.connect(self.path, isolation_level=None, timeout=10)) as db:
                rows = db.execute(_DEVICES + " WHERE token IS NOT NULL").fetchall()
        except sqlite3.Error as e:
            raise self._trouble(e) from e
        found = [p for p in map(Paired._make, rows) if hmac.compare_digest(p.token or b"", hashed)]
        return found[0] if found and now_ms < found[0].until_ms else None

    def all(self, now_ms: int) -> tuple[list[Paired], list[Paired]]:
        """(those that are paired, the last ones that no longer are), the latest first.

        A pairing that ended by its age is told from the dates each time and not written down, so
        that a clock which was wrong for a day ends none.
        """
        with self._opened() as db:
            rows = [Paired._make(row) for row in db.execute(_DEVICES)]
        living = [p for p in rows if p.removed_ms is None and now_ms < p.until_ms]
        ended = [
            p if p.removed_ms is not None else p._replace(removed_ms=p.until_ms)
            for p in rows
            if p not in living
        ]
        return (
            sorted(living, key=lambda p: (-p.seen_ms, -p.id)),
            sorted(ended, key=lambda p: (-(p.removed_ms or 0), -p.id))[:REMOVED_KEPT],
        )

    def rename(self, which: int, name: str) -> None:
        """Give a paired device another name; raises Refusal 404."""
        with self._opened() as db:
            done = db.execute(
                "UPDATE devices SET name = ? WHERE id = ? AND removed_ms IS NULL", (name, which)
            )
        if not done.rowcount:
            raise _unknown(which)

    def remove(self, which: int, now_ms: int) -> None:
        """End a pairing: its very next request is refused; raises Refusal 404."""
        if not self._remove(which, True, now_ms):
            raise _unknown(which)

    def remove_others(self, but: int, now_ms: int) -> int:
        """End all pairings but this one (0: all); returns how many."""
        return self._remove(but, False, now_ms)

    def _remove(self, which: int, that_one: bool, now_ms: int) -> int:
        """End that one, or all but that one."""
        with self._opened() as db:
            done = db.execute(
                "UPDATE devices SET token = NULL, removed_ms = ?"
                " WHERE removed_ms IS NULL AND (id = ?) = ?",
                (now_ms, which, that_one),
            )
        return done.rowcount


def _unknown(which: int) -> Refusal:
    return Refusal(404, "id", sentence("pairing.no_such_device", id=which))


def _drop_old(db: sqlite3.Connection, now_ms: int) -> None:
    """Codes and tries beyond their ten minutes; a clock that was set back counts as beyond too.

    A request that came earlier may get its turn later: what it finds ahead of it stays.
    """
    latest = now_ms + AHEAD
    db.execute(
        "DELETE FROM codes WHERE made_ms NOT BETWEEN ? AND ?", (now_ms - CODE_LIFE + 1, latest)
    )
    db.execute(
        "DELETE FROM tries WHERE at_ms NOT BETWEEN ? AND ?", (now_ms - TRIES_SPAN + 1, latest)
    )


def _tries_left(db: sqlite3.Connection) -> int:
    """Over all addresses, since the oldest code that is alive was made."""
    (tried,) = db.execute(
        "SELECT count(*) FROM tries WHERE at_ms >= (SELECT min(made_ms) FROM codes)"
    ).fetchone()
    return max(0, TRIES - int(tried))


def _tries_of(db: sqlite3.Connection, who: str) -> list[int]:
    """When this address tried in vain, the oldest first."""
    return [at for (at,) in db.execute("SELECT at_ms FROM tries WHERE who = ? ORDER BY n", (who,))]


def _begin_try(db: sqlite3.Connection, who: str, now_ms: int) -> int:
    """Count a try as wrong, until it shows that it was right; returns its number.

    Raises Refusal where there is nothing to try or too much was tried.
    """
    _drop_old(db, now_ms)
    tried = _tries_of(db, who)
    if len(tried) >= TRIES:
        raise _too_many(tried[-TRIES] + TRIES_SPAN - now_ms)
    (codes,) = db.execute("SELECT count(*) FROM codes").fetchone()
    if not codes or not _tries_left(db):
        raise Refusal(403, "code", sentence("pairing.no_code"))
    return int(
        db.execute("INSERT INTO tries (at_ms, who) VALUES (?, ?)", (now_ms, who)).lastrowid or 0
    )


def _too_many(wait_ms: int) -> Refusal:
    minutes = -(-wait_ms // MINUTE)
    one = minutes == 1
    why = sentence("pairing.wait_one") if one else sentence("pairing.wait", n=minutes)
    refusal = Refusal(429, "code", why)
    refusal.headers = {"Retry-After": str(-(-wait_ms // 1000))}
    return refusal


def _wrong(left: int, own_left: int) -> Refusal:
    """`left` tries over all, `own_left` of this address."""
    least = min(left, own_left)
    if not left:
        why = sentence("pairing.wrong_ended")
    elif not own_left:
        why = sentence("pairing.wrong_wait")
    elif least == 1:
        why = sentence("pairing.wrong_one")
    else:
        why = sentence("pairing.wrong", n=least)
    refusal = Refusal(403, "code", why)
    refusal.more = {"tries_left": least}
    return refusal
