"""The invented workshop: its rings, pieces, lanes and shelf. No such maker, customer or piece
exists.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from shared.ask import reply

Fields = dict[str, Any]
Said = tuple[str, str, Fields]

FINE: Fields = {
    "name": "Fine", "kind": "riveted", "wire_mm": 1.2, "inner_mm": 6.5, "lap_mm": 3, "metal": "mild steel",
    "rivet_mm": 1, "rivet_kind": "round", "kerf_mm": 0, "mandrel_length_mm": 260, "zinc": False,
}  # fmt: skip
STOUT: Fields = {
    "name": "Stout", "kind": "riveted", "wire_mm": 1.6, "inner_mm": 8.5, "lap_mm": 4, "metal": "mild steel",
    "rivet_mm": 1.2, "rivet_kind": "round", "kerf_mm": 0, "mandrel_length_mm": 260, "zinc": False,
}  # fmt: skip
RINGS = {"fine": FINE, "stout": STOUT}
RING = (
    "kind",
    "wire_mm",
    "inner_mm",
    "lap_mm",
    "metal",
    "rivet_mm",
    "rivet_kind",
    "kerf_mm",
    "mandrel_length_mm",
)


def engine_ring(ring: str) -> Fields:
    return {name: RINGS[ring][name] for name in RING}


def swatch(ring: str) -> Fields:
    """Twenty by twenty rings as this maker would measure them: a little looser than geometry says."""
    pitch = reply({"ask": "fabric", "ring": engine_ring(ring), "state": "relaxed"})["pitch_mm"]
    measured = {
        "width_mm": round(20 * pitch["column"] * 1.02),
        "height_mm": round(20 * pitch["row"] * 1.01),
    }
    return {"ring": ring, "columns": 20, "rows": 20, "state": "relaxed"} | measured


SWATCHES = {"swatch-fine": swatch("fine"), "swatch-stout": swatch("stout")}
SWATCH = ("columns", "rows", "width_mm", "height_mm", "state")

# piece -> its fields, its panels, and the day it is due, counted from today
PIECES: dict[str, Fields] = {
    "aventail": {
        "name": "Aventail", "customer": "Vantrude of the Salt Road", "mark": "ring", "ring": "stout", "due_in": 38,
        "notes": "Hangs from her helmet, temple to temple around the back; the face stays free.",
        "finishing": [{"step": "own_rim_lacing", "name": "Lace to the rim", "item": "hole", "items": 46, "batch": 1,
                       "guess_min_per_item": 1.5}],
        "panels": [{"name": "Skirt", "shape": {"kind": "taper", "from_mm": 460, "to_mm": 740, "length_mm": 150}}],
    },
    "sleeve": {
        "name": "Left sleeve", "customer": "Ottoline of Harrowmere", "mark": "triangle", "ring": "fine", "due_in": 112,
        "notes": "Narrows to the wrist; the pair's right one follows in spring.", "finishing": [],
        "panels": [{"name": "Sleeve", "shape": {"kind": "taper", "from_mm": 330, "to_mm": 210, "length_mm": 260,
                                                "round": True}}],
    },
    "voiders": {
        "name": "Pair of voiders", "customer": "Own use", "mark": "square", "ring": "stout", "due_in": None,
        "notes": "Two equal panels, one to each arm.", "finishing": [],
        "panels": [{"name": name, "shape": {"kind": "panel", "width_mm": 170, "height_mm": 210}}
                   for name in ("Left", "Right")],
    },
}  # fmt: skip
CARD = {
    "overlap": "right_over_left",
    "heads": "outside",
    "note": "Pierce from the side that lies inside.",
}
LANES = [
    ("aventail", "unit_join", 1), ("aventail", "chain_join", 1), ("aventail", "close", 1), ("aventail", "unit", 1),
    ("sleeve", "pierce", 10), ("sleeve", "flatten", 20), ("voiders", "wind", 1),
]  # fmt: skip
GUESSES = {
    "wind": 4,
    "flatten": 0.25,
    "pierce": 0.3,
    "close": 0.9,
    "unit": 2.2,
    "unit_join": 1.8,
    "chain_join": 1.8,
}
REELS = [
    {"name": "Reel 1, fine", "metal": "mild steel", "wire_mm": 1.2, "how": "weight", "gross_g": 1060, "empty_g": 190,
     "start_g": 1000, "per_kg": 6.4, "batch": "half-moon stamp"},
    {"name": "Reel 2, stout", "metal": "mild steel", "wire_mm": 1.6, "how": "weight", "gross_g": 1660, "empty_g": 240,
     "start_g": 2500, "per_kg": 5.1, "batch": "three dots"},
]  # fmt: skip


def piece_question(piece: str) -> Fields:
    """The engine's question of one piece, as the page asks it."""
    fields = PIECES[piece]
    measured = SWATCHES["swatch-" + fields["ring"]]
    common = {
        "ring": engine_ring(fields["ring"]),
        "swatch": {name: measured[name] for name in SWATCH},
        "state": "relaxed",
    }
    panels = [
        common
        | {
            "name": p["name"],
            "shape": p["shape"] | {"rows_run": "round", "units_per_chain": 10},
        }
        for p in fields["panels"]
    ]
    question: Fields = {"ask": "piece", "panels": panels}
    return question | ({"finishing": fields["finishing"]} if fields["finishing"] else {})


def due(piece: str, today: date) -> str | None:
    days = PIECES[piece]["due_in"]
    return None if days is None else (today + timedelta(days=days)).isoformat()


def off_days(today: date) -> list[str]:
    """A long weekend away, three weeks ahead."""
    friday = today + timedelta(days=21 + (4 - today.weekday()) % 7)
    return [(friday + timedelta(days=n)).isoformat() for n in range(3)]


def _piece(piece: str, order: int, today: date) -> list[Said]:
    fields = PIECES[piece]
    named = {
        name: fields[name] for name in ("name", "customer", "mark", "notes", "ring", "finishing")
    }
    whole = named | {"order": order, "state": "open", "due": due(piece, today), "rules": CARD}
    panels: list[Said] = [
        ("panel", f"{piece}-{n}", {
            "piece": piece, "name": p["name"], "order": n, "ring": None, "swatch": "swatch-" + fields["ring"],
            "state": "relaxed", "shape": p["shape"], "rows_run": "round", "units_per_chain": 10,
        })
        for n, p in enumerate(fields["panels"])
    ]  # fmt: skip
    return [*panels, ("piece", piece, whole)]


def things(today: date) -> list[Said]:
    """Everything that is written down rather than counted: (kind, id, fields)."""
    said: list[Said] = [("ring", name, fields) for name, fields in RINGS.items()]
    said += [("swatch", name, fields) for name, fields in SWATCHES.items()]
    for order, piece in enumerate(PIECES):
        said += _piece(piece, order, today)
    said += [
        ("step", step, {"guess_min_per_item": guess, "practised": "used"})
        for step, guess in GUESSES.items()
    ]
    said.append(("step", "chain_join", {"trial": {"minutes": 20, "items": 12}}))
    for order, (piece, step, batch) in enumerate(LANES):
        said.append(
            (
                "lane",
                f"lane-{order}",
                {"piece": piece, "step": step, "order": order, "batch": batch},
            )
        )
    said += [("reel", f"reel-{n}", reel | {"order": n}) for n, reel in enumerate(REELS, 1)]
    said.append(("rings", "heap-1", {"ring": "stout", "n": 140, "order": 1}))
    workshop = {
        "week_hours": 7,
        "queue": "in_order",
        "off_days": off_days(today),
        "currency": "EUR",
        "break_min": 40,
    }
    return [*said, ("setting", "workshop", workshop)]
