"""Reading a question: each value is taken by name, checked, and refused in one clear sentence.

`Fields` wraps one JSON object and knows its own path, so that an error names `ring.wire_mm`
and not merely `wire_mm`. It decides nothing about the trade: bounds are given by the caller.
It also remembers what was asked for, so that a name nobody knows is told and not passed over.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from .errors import BadField
from .rounding import figure

if TYPE_CHECKING:
    from typing import Any

# Above this a double no longer holds every integer.
MOST = 9007199254740991
# A bound reached by calculation can be missed by the last digits of a float.
HAIR = 1e-12
FEW = 20  # entries of a list, and names in all, that `unread` looks through


def kind_of(value: Any) -> str:
    """What a maker would call this value. bool is asked by identity: MicroPython's bool is no int."""
    if value is None:
        return "nothing"
    if value is True or value is False:
        return "yes or no"
    if isinstance(value, str):
        return "the text '" + value[:40] + "'"
    if isinstance(value, (int, float)):
        return plain(value)
    return "a list" if isinstance(value, list) else "an object"


def plain(value: float) -> str:
    """A number for a sentence, with no more decimals than it needs (four at most)."""
    if value != value:
        return "no number at all"
    if abs(value) > MOST:
        return "a number beyond all counting"
    text = figure(value, 4)
    while text[-1] == "0":
        text = text[:-1]
    return text[:-1] if text[-1] == "." else text


def is_number(value: Any) -> bool:
    return value is not True and value is not False and isinstance(value, (int, float))


def _finite(value: Any) -> bool:
    """Python integers can be larger than any float; those are refused too."""
    return is_number(value) and -1e300 < value < 1e300


def _bound(value: float, low: float, high: float) -> float:
    """The bound itself where the value misses it by rounding only."""
    for bound in (low, high):
        if abs(value - bound) <= HAIR * abs(bound):
            return bound
    return value


def _beyond(value: float, low: float, high: float) -> str:
    """A number out of range, told apart from the bound that it would be written like."""
    said = plain(value)
    if value < low and said == plain(low):
        return "A hair under " + said
    return "A hair over " + said if value > high and said == plain(high) else said


class Fields:
    """One JSON object of a question. Every reader raises BadField with the full path.

    `read` gathers the paths asked for, in one set for the whole question; None where nobody wants
    to know.
    """

    def __init__(
        self, data: Any, path: str = "", read: set[str] | None = None, like: str = ""
    ) -> None:
        if not isinstance(data, dict):
            tail = ", for example " + like if like else ""
            why = (
                "This must be an object with named values" + tail + "; it is " + kind_of(data) + "."
            )
            raise BadField(path or "question", why, "" if data is None else None)
        self.data: dict[str, Any] = data
        self.path = path
        self.read = read
        self.places: dict[str, str] = {}  # names that really stand elsewhere in the question

    def at(self, name: str) -> str:
        if name in self.places:
            return self.places[name]
        return self.path + "." + name if self.path else name

    def get(self, name: str) -> Any:
        """The bare value, None where there is none."""
        if self.read is not None:
            self.read.add(self.at(name))
        return self.data.get(name)

    def joined(self, more: dict[str, Any], places: dict[str, str]) -> Fields:
        """The same object with values put in that stand elsewhere, at `places`."""
        data = {name: self.data[name] for name in sorted(self.data)}
        for name in sorted(more):
            data[name] = more[name]
        out = Fields(data, self.path, self.read)
        out.places = places
        return out

    def bad(self, name: str, why: str) -> BadField:
        """The error for this field, ready to raise."""
        return BadField(self.at(name), why)

    def bare(self, name: str, why: str, example: str = "") -> BadField:
        """The error of a reader that met no value of its kind: told as missing where there is none
        at all.
        """
        return BadField(self.at(name), why, example if self.get(name) is None else None)

    def has(self, name: str) -> bool:
        return self.get(name) is not None

    def number(
        self,
        name: str,
        low: float,
        high: float,
        default: float | None = None,
        *,
        example: str = "",
        above: bool = False,
    ) -> float:
        """A finite number in low..high (low itself excluded when `above`)."""
        value: Any = self.get(name)
        if value is None and default is not None:
            return default
        wanted = (
            ("above " if above else "from ")
            + plain(low)
            + (" up to " if above else " to ")
            + plain(high)
        )
        tail = ", for example " + example if example else ""
        if not _finite(value):
            why = (
                "A number " + wanted + " is needed here" + tail + "; it is " + kind_of(value) + "."
            )
            raise self.bare(name, why, example)
        value = _bound(value, low, high)
        if value < low or value > high or (above and value == low):
            raise self.bad(
                name,
                _beyond(value, low, high)
                + " is out of range: give a number "
                + wanted
                + tail
                + ".",
            )
        return float(value)

    def maybe(
        self, name: str, low: float, high: float, *, example: str = "", above: bool = False
    ) -> float | None:
        """Like `number`, but None where nothing was given."""
        return (
            self.number(name, low, high, example=example, above=above) if self.has(name) else None
        )

    def integer(
        self, name: str, low: int, high: int, default: int | None = None, *, example: str = ""
    ) -> int:
        """A whole number in low..high; 12.0 counts as 12."""
        value: Any = self.get(name)
        if value is None and default is not None:
            return default
        wanted = "a whole number from " + plain(low) + " to " + plain(high)
        tail = ", for example " + example if example else ""
        if not _finite(value) or value != int(value):
            raise self.bare(
                name, "Give " + wanted + tail + "; it is " + kind_of(value) + ".", example
            )
        if value < low or value > high:
            raise self.bad(name, plain(value) + " is out of range: give " + wanted + tail + ".")
        return int(value)

    def maybe_integer(self, name: str, low: int, high: int) -> int | None:
        return self.integer(name, low, high) if self.has(name) else None

    def flag(self, name: str, default: bool = False) -> bool:
        value = self.get(name)
        if value is None:
            return default
        if value is not True and value is not False:
            raise self.bad(
                name, "This is yes or no: give true or false; it is " + kind_of(value) + "."
            )
        return bool(value)

    def text(
        self, name: str, default: str | None = None, *, longest: int = 400, example: str = ""
    ) -> str:
        value = self.get(name)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or not value.strip():
            tail = ", for example " + example if example else ""
            why = (
                "A word or a line of text is needed here" + tail + "; it is " + kind_of(value) + "."
            )
            raise self.bare(name, why, example)
        if len(value) > longest:
            raise self.bad(name, "This text is too long: " + plain(longest) + " letters at most.")
        return value

    def choice(
        self, name: str, options: list[str] | tuple[str, ...], default: str | None = None
    ) -> str:
        value = self.get(name)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or value not in options:
            raise self.bare(
                name, "Choose one of: " + ", ".join(options) + "; it is " + kind_of(value) + "."
            )
        return value

    def day(self, name: str) -> date:
        """An ISO 8601 calendar date, 2026-05-17."""
        value = self.get(name)
        try:
            if isinstance(value, str) and len(value) == 10:
                return date.fromisoformat(value)
        except ValueError:
            pass
        why = "A date is needed here as year-month-day, for example 2026-05-17; it is "
        raise self.bare(name, why + kind_of(value) + ".", "2026-05-17")

    def part(self, name: str, *, like: str = "") -> Fields:
        """The object under this name; `like` is an example for the refusal."""
        return Fields(self.get(name), self.at(name), self.read, like)

    def maybe_part(self, name: str, *, like: str = "") -> Fields | None:
        return self.part(name, like=like) if self.has(name) else None

    def entries(
        self, name: str, *, most: int = 100000, least: int = 0, like: str = ""
    ) -> list[Any]:
        """The list under this name, [] when absent and `least` allows."""
        value = self.get(name)
        if value is None and least == 0:
            return []
        if not isinstance(value, list):
            tail = ", for example [" + like + "]" if like else ""
            raise self.bare(
                name, "A list is needed here" + tail + "; it is " + kind_of(value) + "."
            )
        if not least <= len(value) <= most:
            why = (
                "This list has "
                + plain(len(value))
                + (" entry; " if len(value) == 1 else " entries; ")
            )
            many = plain(least) if least == most else "from " + plain(least) + " to " + plain(most)
            raise self.bad(
                name, why + many + (" is wanted." if least == most == 1 else " are wanted.")
            )
        return value

    def parts(
        self, name: str, *, most: int = 100000, least: int = 0, like: str = ""
    ) -> list[Fields]:
        """The objects of a list, each with its own path: `panels[2].width_mm`."""
        where, values = self.at(name), self.entries(name, most=most, least=least, like=like)
        return [
            Fields(v, where + "[" + str(i) + "]", self.read, like) for i, v in enumerate(values)
        ]

    def counts(self, name: str, most: int = 10**9) -> dict[str, int]:
        """An object of whole numbers, `{"close": 120}`; {} when absent. Read it by sorted key or by
        name.
        """
        part = self.maybe_part(name)
        if part is None:
            return {}
        out: dict[str, int] = {}
        for key in sorted(part.data):
            out[key] = part.integer(key, 0, most)
        return out


def spoilt(part: Fields, most: int = 10**7) -> tuple[int, int]:
    """(good, bad) of `{done, spoiled}`, the spoiled among the done as the log counts them; or of
    `{good, bad}`.
    """
    if not part.has("done") and (part.has("good") or part.has("bad")):
        return part.integer("good", 0, most), part.integer("bad", 0, most)
    done, spoiled = part.integer("done", 0, most, example="50"), part.integer("spoiled", 0, most, 0)
    if spoiled > done:
        raise part.bad(
            "spoiled",
            "More were spoiled than done: `done` counts every item, the spoiled ones too.",
        )
    return done - spoiled, spoiled


def unread(q: Fields, whole: tuple[str, ...] = ()) -> list[dict[str, str]]:
    """What the question holds that nothing asked for: `[{field, why}]`, [] where all was of use.

    `whole` are fields taken as they are, which nobody looks into.
    """
    found: list[tuple[str, str]] = []
    if q.read is not None:
        _unread(q.data, "", q.read, found, whole)
    names = sorted(q.read) if q.read and found else []
    return [{"field": at, "why": _known(path, names)} for path, at in found[:FEW]]


def _unread(
    data: Any, path: str, read: set[str], found: list[tuple[str, str]], whole: tuple[str, ...]
) -> None:
    """Gathers (path of the object, path of the value) for each value whose path is not in `read`."""
    if path and path in whole:
        return
    if isinstance(data, list):
        for i, value in enumerate(data[:FEW]):
            _unread(value, path + "[" + str(i) + "]", read, found, whole)
    if not isinstance(data, dict):
        return
    for name in sorted(data):
        at = path + "." + name if path else name
        if at in read:
            _unread(data[name], at, read, found, whole)
        elif data[name] is not None:
            found.append((path, at))


def _known(path: str, read: list[str]) -> str:
    """The names that were asked for in the same object, for a slip of the pen."""
    start = path + "." if path else ""
    names = [at[len(start) :] for at in read if at.startswith(start)]
    names = [name for name in names if "." not in name and "[" not in name]
    return "Not used here. What was looked for: " + ", ".join(names) + "."
