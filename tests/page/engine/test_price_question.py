"""What the page asks for a price with: the dearest reel of a wire counts, else the usual price."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import STORE, Modules

ASK = f"""async (kept, piece, plan) => {{
  const m = await import('/engine/price-question.js'), store = ({STORE})(kept);
  return {{ question: m.priceQuestion(store, piece, plan, {{ p50: 10, p80: 12 }}), unpriced: m.unpriced(store, plan) }};
}}"""


def reel(per_kg: int, wire_mm: float = 1.2, metal: str = "steel") -> dict[str, Any]:
    return {"metal": metal, "wire_mm": wire_mm, "per_kg": per_kg}


def wire(**more: Any) -> dict[str, Any]:
    return {"metal": "steel", "wire_mm": 1.2, "kg": 3, "buy_kg": 3.5, **more}


def asked(
    modules: Modules,
    kept: dict[str, Any],
    plan: dict[str, Any],
    piece: dict[str, Any] | None = None,
) -> Any:
    return modules.evaluate(ASK, kept, piece or {}, {"wires": [], "consumables": [], **plan})


def test_of_two_reels_of_one_wire_the_dearest_is_charged(modules: Modules) -> None:
    """Whichever reel is used, the price covers it."""
    reels = {"a": reel(900), "b": reel(1400), "c": reel(1100)}
    found = asked(modules, {"reel": reels}, {"wires": [wire()]})
    assert found["question"]["wire"] == [{"name": "Wire, steel 1.2 mm", "kg": 3.5, "per_kg": 1400}]
    assert found["unpriced"] == []


def test_only_reels_of_this_metal_and_thickness_are_its_price(modules: Modules) -> None:
    reels = {
        "thick": reel(5000, 1.2006),
        "thin": reel(5000, 1.1994),
        "brass": reel(5000, metal="brass"),
        "free": reel(0),
        "own": reel(900, 1.2004),
    }
    found = asked(modules, {"reel": reels}, {"wires": [wire()]})
    assert [w["per_kg"] for w in found["question"]["wire"]] == [900]


def test_the_usual_price_stands_where_no_reel_has_one(modules: Modules) -> None:
    found = asked(modules, {"setting": {"wire_per_kg": 800}}, {"wires": [wire(buy_kg=None)]})
    assert found["question"]["wire"] == [{"name": "Wire, steel 1.2 mm", "kg": 3, "per_kg": 800}]


def test_what_has_no_price_is_left_out_and_named(modules: Modules) -> None:
    plan = {
        "wires": [wire(), wire(wire_mm=1.6, kg=None, buy_kg=None, metal=None)],
        "consumables": [
            {"name": "gas", "amount": 2, "unit": "kg"},
            {"name": "oil", "amount": 1, "unit": "l"},
        ],
    }
    kept = {"price": {"gas": {"per_unit": 450}}}
    found = asked(modules, kept, plan)
    assert found["question"]["wire"] == []
    assert found["question"]["consumables"] == [
        {"name": "gas", "amount": 2, "unit": "kg", "per_unit": 450}
    ]
    assert found["unpriced"] == ["wire 1.2 mm", "wire 1.6 mm", "oil"]
    kept["setting"] = {"wire_per_kg": 800}
    assert asked(modules, kept, plan)["unpriced"] == ["wire 1.6 mm", "oil"]


def test_the_rates_of_the_workshop_go_along(modules: Modules) -> None:
    setting = {
        "currency": "EUR",
        "rate": 2500,
        "overhead_percent": 10,
        "margin_percent": 25,
        "tax_percent": 19,
        "deposit_percent": 50,
        "margin_on": "cost",
    }
    costs = [
        {"name": "lining", "amount": 4200},
        {"name": "", "amount": 5},
        {"name": "x", "amount": 0},
    ]
    question = asked(modules, {"setting": setting}, {}, {"costs": costs})["question"]
    assert {name: question[name] for name in setting} == setting
    assert question["ask"] == "price" and question["hours"] == {"p50": 10, "p80": 12}
    assert question["other"] == [{"name": "lining", "amount": 4200}]
    bare = asked(modules, {}, {})["question"]
    assert (bare["currency"], bare["rate"], bare["margin_on"], bare["other"]) == (
        "",
        None,
        "price",
        [],
    )
    assert [bare[name] for name in list(setting)[2:6]] == [0, 0, 0, 0]


def test_money_is_shown_in_the_currencys_own_digits(modules: Modules) -> None:
    assert modules.call("engine/price-question.js", "major", 12345, 2) == "123.45"
    assert modules.call("engine/price-question.js", "major", 12345, 0) == "12345"
    assert (
        modules.call("engine/price-question.js", "sum", 1234567, {"digits": 2}) == "12\u202f345.67"
    )


def test_the_digits_of_a_currency_are_asked_for_once(modules: Modules) -> None:
    learnt = modules.evaluate("""async () => {
      const m = await import('/engine/price-question.js');
      let currency = "", asked = [];
      const store = { setting: () => currency,
        ask: async (q) => { asked.push(q.currency); if (q.currency === "QQQ") throw new Error("none"); return { digits: q.currency === "KWD" ? 3 : 2 }; } };
      const out = [await m.learnDigits(store)];
      for (currency of ["KWD", "KWD", "EUR", "QQQ"]) out.push(m.digitsOf(store), await m.learnDigits(store), m.digitsOf(store));
      return { out, asked };
    }""")
    assert learnt["asked"] == ["KWD", "EUR", "QQQ"]
    assert learnt["out"] == [False, 2, True, 3, 3, False, 3, 2, False, 2, 2, False, 2]


@pytest.mark.parametrize(
    ("reel", "same"),
    [
        ({"metal": "iron", "wire_mm": 1.2}, True),
        ({"metal": "iron", "wire_mm": 1.2004}, True),  # typed to a hundredth
        ({"metal": "iron", "wire_mm": 1.2006}, False),
        ({"metal": "mild steel", "wire_mm": 1.2}, False),
        ({"metal": "iron", "wire_mm": None}, False),
        ({"metal": "iron"}, False),
    ],
)
def test_wire_is_the_same_by_metal_and_thickness(
    modules: Modules, reel: dict[str, Any], same: bool
) -> None:
    ring = {"metal": "iron", "wire_mm": 1.2}
    assert modules.call("engine/questions.js", "isSameWire", reel, ring) is same
    assert modules.call("engine/questions.js", "isSameWire", ring, reel) is same
