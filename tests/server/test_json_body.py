"""Junk at the API: always 4xx in our shape, never 500, and nothing stored."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from server.errors import Unreadable
from server.json_body import DEEPEST, _once_each, parse
from tests.server.link import Link
from tests.server.test_app import SAID, shape

JSON = {"Content-Type": "application/json"}
JUNK = {
    "nothing": b"",
    "a word": b"hello",
    "half an object": b'{"v": 1, "device": "a"',
    "two objects": b"{}{}",
    "a list": b"[]",
    "a number": b"5",
    "null": b"null",
    "a text": b'"v"',
    "not utf-8": b'{"v": "\xff\xfe"}',
    "utf-16": '{"v": 1}'.encode("utf-16"),
    "NaN": b'{"v": NaN}',
    "Infinity": b'{"v": Infinity}',
    "minus Infinity": b'{"v": -Infinity}',
    "an overflowing float": b'{"v": 1e999}',
    "a number of 5,000 digits": b'{"v": ' + b"9" * 5000 + b"}",
    "a whole number past 64 bits": (
        b'{"v": 1, "device": "a", "after": 99999999999999999999, "changes": []}'
    ),
    "a name twice": b'{"v": 1, "v": 2}',
    "a name twice, deep": b'{"v": 1, "device": "a", "changes": [{"seq": 1, "seq": 2}]}',
    "500 lists deep": b"[" * 500 + b"]" * 500,
    "100,000 lists deep": b"[" * 100_000 + b"]" * 100_000,
    "100,000 open lists": b"[" * 100_000,
    "objects 900 deep": b'{"a":' * 900 + b"1" + b"}" * 900,
    "a control letter": b'{"v": "\x01"}',
    "a NUL": b'{"v": \x00}',
    "single quotes": b"{'v': 1}",
    "a comment": b'{"v": 1} // so',
}


async def send(link: Link, path: str, content: Any) -> httpx.Response:
    return await link.client.post(path, content=content, headers=JSON)


@pytest.mark.parametrize("name", sorted(JUNK))
async def test_junk_is_refused_with_field_and_reason(link: Link, name: str) -> None:
    error = shape(await send(link, "/api/sync", JUNK[name]), 400)
    assert error["field"] and len(error["why"]) > 20
    asked = await send(link, "/api/ask", JUNK[name])
    assert asked.status_code == 400 and asked.json()["error"]["why"]
    assert (await link.push(SAID))["upto"] == 0


async def test_a_body_over_the_limit_is_refused_while_it_streams(link: Link) -> None:
    sent = 0

    async def endless() -> AsyncIterator[bytes]:
        nonlocal sent
        while True:
            sent += 1
            yield b" " * 65536

    error = shape(await asyncio.wait_for(send(link, "/api/sync", endless()), 10), 413)
    assert error["field"] == "body" and sent <= 18


async def test_a_body_at_the_limit_is_read(link: Link) -> None:
    body = json.dumps(SAID).encode()
    assert (
        await send(link, "/api/sync", body + b" " * (1024 * 1024 - len(body)))
    ).status_code == 200
    assert (
        await send(link, "/api/sync", body + b" " * (1024 * 1024 - len(body) + 1))
    ).status_code == 413


async def test_a_body_that_never_ends_is_given_up(link: Link) -> None:
    async def slow() -> AsyncIterator[bytes]:
        yield b"{"
        await asyncio.Event().wait()  # for ever

    object.__setattr__(link.app.state.settings, "body_seconds", 0.05)
    assert shape(await send(link, "/api/sync", slow()), 408)["field"] == "body"


@pytest.mark.parametrize(
    "text", ["1.5", "1e3", "-7", "[]", '{"a": {"b": [1, 2.5, "x", null, true]}}']
)
def test_good_json_is_read_as_python_reads_it(text: str) -> None:
    assert parse(text) == json.loads(text)


def test_depth_is_counted_exactly() -> None:
    assert DEEPEST == 40 and parse("[" * DEEPEST + "]" * DEEPEST)
    with pytest.raises(Unreadable, match="deep"):
        parse("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1))


scalars = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
values = st.recursive(
    scalars, lambda v: st.lists(v, max_size=4) | st.dictionaries(st.text(max_size=8), v, max_size=4)
)
names = st.sampled_from(
    [
        "device",
        "seq",
        "at",
        "tz",
        "v",
        "kind",
        "piece",
        "step",
        "n",
        "how",
        "sitting",
        "undoes",
        "event",
        "from_ms",
        "to_ms",
        "keep_min",
        "minutes",
        "thing",
        "id",
        "field",
        "value",
        "stamp",
        "holds",
        "why",
        "opens",
        "panel",
    ]
)
kinds = st.sampled_from(["count", "scrap", "sitting", "set", "hold", "joke"])
changes = st.fixed_dictionaries({"seq": st.integers(1, 6), "device": st.just("a"), "kind": kinds})
changes = (
    st.builds(lambda known, junk: known | junk, changes, st.dictionaries(names, values, max_size=6))
    | values
)
requests = st.fixed_dictionaries(
    {
        "v": st.just(1) | values,
        "device": st.just("a") | values,
        "changes": st.lists(changes, max_size=6) | values,
    },
    optional={"log": values, "after": values},
)


@pytest.mark.slow
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(body=requests | values)
async def test_whatever_comes_the_answer_is_2xx_or_our_error_shape(link: Link, body: Any) -> None:
    response = await send(link, "/api/sync", json.dumps(body).encode())
    if response.status_code == 200:
        assert set(response.json()) >= {"v", "log", "acked", "changes", "upto", "more", "refused"}
    else:
        shape(response, 400)


@pytest.mark.parametrize(
    ("body", "part", "whole"),
    [
        (json.dumps({"n" * 50: 1, "m": 2}).replace("m", "n" * 50), "n" * 40, "n" * 41),
        ('{"v": %s}' % ("7" * 25), "7" * 12, "7" * 13),
        ('{"v": 1e%s}' % ("9" * 30), "1e" + "9" * 22, "1e" + "9" * 23),
    ],
)
async def test_what_is_too_long_is_named_by_its_beginning(
    link: Link, body: str, part: str, whole: str
) -> None:
    why = shape(await send(link, "/api/sync", body), 400)["why"]
    assert part in why and whole not in why


async def test_a_number_of_as_many_digits_as_a_double_needs_is_read(link: Link) -> None:
    error = shape(await send(link, "/api/sync", '{"v": %s}' % ("7" * 24)), 400)
    assert error["field"] == "v"


def test_names_are_compared_once_each_however_many_there_are() -> None:
    class Name(str):
        compared = 0

        def __hash__(self) -> int:
            return str.__hash__(self)

        def __eq__(self, other: object) -> bool:
            Name.compared += 1
            return str.__eq__(self, other)

    names = [Name(f"n{i}") for i in range(20_000)]
    assert len(_once_each([(name, 1) for name in names])) == 20_000
    with pytest.raises(Unreadable, match="twice"):
        _once_each([(name, 1) for name in [*names, Name("n19999")]])
    assert Name.compared < 40_000  # a name meets another only where their hashes do


async def test_eighty_thousand_names_with_one_twice_are_refused_by_it(link: Link) -> None:
    body = "{" + ",".join(f'"{i:05}":1' for i in range(80_000)) + ',"79999":2}'
    assert "79999" in shape(await send(link, "/api/sync", body.encode()), 400)["why"]
