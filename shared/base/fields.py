"""Reading a question: each value is read by name, checked, and refused in one clear sentence.

`Fields` wraps one JSON object and knows its own path, so that an error names `ring.wire_mm`
and not merely `wire_mm`. It decides nothing about the trade: bounds are given by the caller.
It also remembers which names were read, so that a misspelt one is reported and not passed over.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from .errors import BadField
from .rounding import figure
from .sentences import sentence

if TYPE_CHECKING:
    from typing import Any

# Above this a double no longer holds every integer.
MAX_INTEGER = 9007199254740991
# A bound reached by calculation can be missed by the last digits of a float.
BOUND_TOLERANCE = 1e-12  # relative
UNREAD_LIMIT = 20  # entries of a list, and names in all, that `unread` looks through


def kind_of(value: Any) -> str:
    """What a maker would call this value. bool is asked by identity: MicroPython's bool is no int."""
    if value is None:
        return sentence("base.kind_nothing")
    if value is True or value is False:
        return sentence("base.kind_yes_no")
    if isinstance(value, str):
        return sentence("base.kind_text", text=value[:40])
    if isinstance(value, (int, float)):
        return plain(value)
    return sentence("base.kind_list" if isinstance(value, list) else "base.kind_object")


def plain(value: float) -> str:
    """A number for a sentence, with no more decimals than it needs (four at most)."""
    if value != value:
        return sentence("base.kind_not_a_number")
    if abs(value) > MAX_INTEGER:
        return sentence("base.kind_huge")
    text = figure(value, 4)
    while text[-1] == "0":
        text = text[:-1]
    return text[:-1] if text[-1] == "." else text


def is_number(value: Any) -> bool:
    """An int or a float; true and false are none."""
    return value is not True and value is not False and isinstance(value, (int, float))


def _finite(value: Any) -> bool:
    """Python integers can be larger than any float; those are refused too."""
    return is_number(value) and -1e300 < value < 1e300


def _bound(value: float, low: float, high: float) -> float:
    """The bound itself where the value misses it by rounding only."""
    for bound in (low, high):
        if abs(value - bound) <= BOUND_TOLERANCE * abs(bound):
            return bound
    return value


def _out_of_range(value: float, low: float, high: float) -> str:
    """A number out of range, marked where it would be written like the bound it misses."""
    text = plain(value)
    if value < low and text == plain(low):
        return sentence("base.hair_under", bound=text)
    if value > high and text == plain(high):
        return sentence("base.hair_over", bound=text)
    return text


def _refusal(key: str, example: str, **values: str) -> str:
    """The sentence under `key`, or under `key_example` where an example can be named."""
    if example:
        return sentence(key + "_example", example=example, **values)
    return sentence(key, **values)


class Fields:
    """One JSON object of a question. Every reader raises BadField with the full path.

    `read` gathers the paths asked for, in one set for the whole question; None where nobody wants
    to know.
    """

    def __init__(
        self, data: Any, path: str = "", read: set[str] | None = None, like: str = ""
    ) -> None:
        if not isinstance(data, dict):
            why = _refusal("base.object_wanted", like, kind=kind_of(data))
            raise BadField(path or "question", why, "" if data is None else None)
        self.data: dict[str, Any] = data
        self.path = path
        self.read = read
        self.places: dict[str, str] = {}  # names that really stand elsewhere in the question

    def at(self, name: str) -> str:
        """The full path of this name: `ring.wire_mm`."""
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
        """The error of a reader that met no value of its kind; a field left empty counts as missing
        and carries the example.
        """
        return BadField(self.at(name), why, example if self.get(name) is None else None)

    def has(self, name: str) -> bool:
        """Whether a value other than null stands there."""
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
        bounds = {"low": plain(low), "high": plain(high)}
        if not _finite(value):
            key = "base.number_above_wanted" if above else "base.number_wanted"
            raise self.bare(name, _refusal(key, example, kind=kind_of(value), **bounds), example)
        value = _bound(value, low, high)
        if value < low or value > high or (above and value == low):
            key = "base.number_above_range" if above else "base.number_range"
            text = _out_of_range(value, low, high)
            raise self.bad(name, _refusal(key, example, value=text, **bounds))
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
        bounds = {"low": plain(low), "high": plain(high)}
        if not _finite(value) or value != int(value):
            why = _refusal("base.integer_wanted", example, kind=kind_of(value), **bounds)
            raise self.bare(name, why, example)
        if value < low or value > high:
            raise self.bad(
                name, _refusal("base.integer_range", example, value=plain(value), **bounds)
            )
        return int(value)

    def maybe_integer(self, name: str, low: int, high: int) -> int | None:
        """Like `integer`, but None where nothing was given."""
        return self.integer(name, low, high) if self.has(name) else None

    def flag(self, name: str, default: bool = False) -> bool:
        """true or false."""
        value = self.get(name)
        if value is None:
            return default
        if value is not True and value is not False:
            raise self.bad(name, sentence("base.flag_wanted", kind=kind_of(value)))
        return bool(value)

    def text(
        self, name: str, default: str | None = None, *, longest: int = 400, example: str = ""
    ) -> str:
        """A text that is not blank, of at most `longest` characters."""
        value = self.get(name)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or not value.strip():
            why = _refusal("base.text_wanted", example, kind=kind_of(value))
            raise self.bare(name, why, example)
        if len(value) > longest:
            raise self.bad(name, sentence("base.text_long", most=longest))
        return value

    def choice(
        self, name: str, options: list[str] | tuple[str, ...], default: str | None = None
    ) -> str:
        """One of these texts."""
        value = self.get(name)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or value not in options:
            why = sentence("base.choice_wanted", options=", ".join(options), kind=kind_of(value))
            raise self.bare(name, why)
        return value

    def day(self, name: str) -> date:
        """An ISO 8601 calendar date, 2026-05-17."""
        value = self.get(name)
        try:
            if isinstance(value, str) and len(value) == 10:
                return date.fromisoformat(value)
        except ValueError:
            pass
        why = sentence("base.day_wanted", example="2026-05-17", kind=kind_of(value))
        raise self.bare(name, why, "2026-05-17")

    def part(self, name: str, *, like: str = "") -> Fields:
        """The object under this name; `like` is an example for the refusal."""
        return Fields(self.get(name), self.at(name), self.read, like)

    def maybe_part(self, name: str, *, like: str = "") -> Fields | None:
        """Like `part`, but None where nothing was given."""
        return self.part(name, like=like) if self.has(name) else None

    def entries(
        self, name: str, *, most: int = 100000, least: int = 0, like: str = ""
    ) -> list[Any]:
        """The list under this name, [] when absent and `least` allows."""
        value = self.get(name)
        if value is None and least == 0:
            return []
        if not isinstance(value, list):
            example = "[" + like + "]" if like else ""
            raise self.bare(name, _refusal("base.list_wanted", example, kind=kind_of(value)))
        n = len(value)
        if not least <= n <= most:
            if least == most:
                key = "base.list_one" if least == 1 else "base.list_exactly"
                raise self.bad(name, sentence(key, wanted=least, n=n))
            raise self.bad(name, sentence("base.list_length", least=least, most=most, n=n))
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


def good_and_bad(part: Fields, most: int = 10**7) -> tuple[int, int]:
    """(good, bad) of `{done, spoiled}`, the spoiled among the done as the log counts them; or of
    `{good, bad}`.
    """
    if not part.has("done") and (part.has("good") or part.has("bad")):
        return part.integer("good", 0, most), part.integer("bad", 0, most)
    done, spoiled = part.integer("done", 0, most, example="50"), part.integer("spoiled", 0, most, 0)
    if spoiled > done:
        raise part.bad("spoiled", sentence("base.spoiled_over_done"))
    return done - spoiled, spoiled


def unread(q: Fields, whole: tuple[str, ...] = ()) -> list[dict[str, str]]:
    """What the question holds that nothing read: `[{field, why}]`, [] where all was of use.

    `whole` are fields used as they are, not searched for misspelt names.
    """
    found: list[tuple[str, str]] = []
    if q.read is not None:
        _unread(q.data, "", q.read, found, whole)
    names = sorted(q.read) if q.read and found else []
    return [{"field": at, "why": _known(path, names)} for path, at in found[:UNREAD_LIMIT]]


def _unread(
    data: Any, path: str, read: set[str], found: list[tuple[str, str]], whole: tuple[str, ...]
) -> None:
    """Gathers (path of the object, path of the value) for each value whose path is not in `read`."""
    if path and path in whole:
        return
    if isinstance(data, list):
        for i, value in enumerate(data[:UNREAD_LIMIT]):
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
    """The names that were read in the same object, for whoever misspelt one."""
    start = path + "." if path else ""
    names = [at[len(start) :] for at in read if at.startswith(start)]
    names = [name for name in names if "." not in name and "[" not in name]
    return sentence("base.unread", names=", ".join(names))
