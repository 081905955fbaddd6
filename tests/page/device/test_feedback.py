"""Eyes, ears and skin: contrast in both themes, switches for every sense, spoken counts, the
screen, motion, zoom.

Contrast: WCAG 2.2 relative luminance and ratio (1.4.6 AAA 7:1); APCA 0.1.9 (Myndex/SAPC-APCA,
constants as
published there; written down from memory) for the forge theme."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.bench.test_next import HEAR
from tests.page.benchwork import LYING, UPRIGHT, Bench, box, saved, shown
from tests.page.desk import still, wait_until

Rgb = tuple[float, float, float]

# every visible text of the screen: its colour, and the first opaque ground under it
TEXTS = """() => {
  const out = [];
  for (const e of document.querySelectorAll("body *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    const r = e.getBoundingClientRect();
    if (!own || !r.width || !r.height || e.closest(".quiet, .skip, noscript, script, [hidden]")) continue;
    let under = e, ground = "rgba(0, 0, 0, 0)";
    for (; under; under = under.parentElement) {
      ground = getComputedStyle(under).backgroundColor;
      if (!/^rgba.*, 0\\)$/.test(ground)) break;
    }
    out.push([e.className + ": " + e.textContent.trim().slice(0, 40), getComputedStyle(e).color, ground]);
  }
  return out;
}"""


def rgb(text: str) -> Rgb:
    r, g, b = (float(part) for part in text[text.index("(") + 1 : -1].split(",")[:3])
    return r, g, b


def ratio(ink: Rgb, ground: Rgb) -> float:
    def light(colour: Rgb) -> float:
        parts = [
            c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4
            for c in colour
        ]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    high, low = sorted((light(ink), light(ground)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def apca(ink: Rgb, ground: Rgb) -> float:
    """Lightness contrast without its sign."""

    def light(colour: Rgb) -> float:
        y = sum(
            w * (c / 255) ** 2.4
            for w, c in zip((0.2126729, 0.7151522, 0.0721750), colour, strict=True)
        )
        return y + (0.022 - y) ** 1.414 if y < 0.022 else y

    t, b = light(ink), light(ground)
    if b > t:
        c = (b**0.56 - t**0.57) * 1.14
        return 100 * (c - 0.027) if c >= 0.1 else 0.0
    c = (b**0.65 - t**0.62) * 1.14
    return 100 * (-c - 0.027) if c <= -0.1 else 0.0


def test_the_two_contrast_formulas_give_their_published_ends() -> None:
    assert ratio((0, 0, 0), (255, 255, 255)) == pytest.approx(21)  # WCAG: black on white is 21:1
    assert apca((0, 0, 0), (255, 255, 255)) == pytest.approx(
        106.04, abs=0.01
    )  # APCA's own sanity value
    assert apca((255, 255, 255), (0, 0, 0)) == pytest.approx(107.88, abs=0.01)


def everything(page: Page) -> list[tuple[str, Rgb, Rgb]]:
    return [(name, rgb(ink), rgb(ground)) for name, ink, ground in page.evaluate(TEXTS)]


def screens_of(bench: Bench, theme: str) -> list[tuple[str, Rgb, Rgb]]:
    page = bench(["unit", "cut"], theme=theme, reduced_motion="reduce")
    found = everything(page)
    for _ in range(5):
        page.locator(".pad").first.click()
    found += everything(page)  # full, with its card
    page.locator(".lane-name").first.click()
    page.locator("dialog[open]").wait_for()
    found += everything(page)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Choose steps").click()
    found += everything(page)
    page.get_by_role("link", name="Setup").click()
    page.locator(".setup .step-list > summary").click()
    return found + everything(page)


def test_text_has_seven_to_one_in_daylight(bench: Bench) -> None:
    found = screens_of(bench, "light")
    assert len(found) > 150
    assert [(name, round(ratio(a, b), 2)) for name, a, b in found if ratio(a, b) < 7] == []


def test_text_has_seven_to_one_and_lc_75_at_the_forge(bench: Bench) -> None:
    found = screens_of(bench, "dark")
    assert len(found) > 150
    assert [(name, round(ratio(a, b), 2)) for name, a, b in found if ratio(a, b) < 7] == []
    # a filled button's dark ink on ember is the one pair of the other polarity
    assert [(name, round(apca(a, b), 1)) for name, a, b in found if apca(a, b) < 75] == []


def test_the_theme_can_be_chosen_or_follows_the_system(bench: Bench) -> None:
    ground = "() => getComputedStyle(document.documentElement).backgroundColor"
    dark, light = "rgb(20, 17, 15)", "rgb(255, 255, 255)"
    assert bench(["unit"], theme="dark").evaluate(ground) == dark
    page = bench(["unit"], theme="light")
    assert page.evaluate(ground) == light
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("button", name="Forge (dark)").click()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    assert page.evaluate(ground) == dark
    page.get_by_role("button", name="Same as this device").click()
    expect(page.locator("html")).not_to_have_attribute("data-theme", "dark")
    assert page.evaluate(ground) == light


def test_click_and_vibration_are_switched_each_by_itself(bench: Bench) -> None:
    page = bench(["unit"], init=HEAR)
    pad = page.locator(".pad")
    pad.click()
    pad.click()
    assert page.evaluate("() => window.felt").count([12]) == 2
    assert len(page.evaluate("() => window.heard")) >= 1
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("switch", name="Vibration").click()
    expect(page.get_by_role("switch", name="Vibration")).to_have_attribute("aria-checked", "false")
    page.get_by_role("link", name="Bench").click()
    page.evaluate("() => { window.heard = []; window.felt = []; }")
    pad.click()
    assert page.evaluate("() => [window.heard.length, window.felt.length]") == [1, 0]
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("switch", name="Click").click()
    expect(page.get_by_role("switch", name="Click")).to_have_attribute("aria-checked", "false")
    page.get_by_role("link", name="Bench").click()
    page.evaluate("() => { window.heard = []; }")
    pad.click()
    assert page.evaluate("() => [window.heard.length, window.felt.length]") == [0, 0]


def test_sound_asks_not_to_stop_other_music(bench: Bench) -> None:
    page = bench(
        ["unit"],
        init="Object.defineProperty(navigator, 'audioSession', { value: { type: 'auto' } });",
    )
    page.locator(".pad").click()
    assert page.evaluate("() => navigator.audioSession.type") == "ambient"


def test_a_screen_reader_hears_the_count_at_most_once_a_second(bench: Bench) -> None:
    page = bench(["unit"])
    page.clock.install(time="2026-11-25T12:00:00Z")
    page.clock.pause_at("2026-11-25T12:00:10Z")
    page.evaluate(
        """() => { window.said = []; const e = document.querySelector("rw-bench > [role=status]");
          new MutationObserver(() => window.said.push([performance.now(), e.textContent]))
            .observe(e, { childList: true, characterData: true, subtree: true }); }"""
    )
    for _ in range(20):
        page.locator(".pad").click()
        page.clock.run_for(110)
    page.clock.run_for(1200)
    said: list[Any] = page.evaluate("() => window.said")
    times = [at for at, _ in said]
    assert 2 <= len(said) <= 6
    assert all(b - a > 950 for a, b in pairwise(times))
    assert said[-1][1] == "20 units"


def test_a_screen_reader_hears_one_item_as_one(bench: Bench) -> None:
    page = bench(["close"])
    page.locator(".pad").click()
    expect(page.locator("p.quiet[aria-live=polite]")).to_have_text("1 closed ring")
    page.locator(".pad").click()
    expect(page.locator("p.quiet[aria-live=polite]")).to_have_text("2 closed rings")


SPEAK = """
window.spoken = [];
const voice = { localService: true, lang: "en-GB", name: "Here" };
const away = { localService: false, lang: "en-US", name: "Elsewhere" };
speechSynthesis.getVoices = () => window.onlyAway ? [away] : [away, voice];
window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
speechSynthesis.speak = (u) => window.spoken.push([u.text, u.voice.name]);
speechSynthesis.cancel = () => {};
"""


def test_the_count_is_spoken_aloud_every_n_with_a_voice_of_the_device(bench: Bench) -> None:
    page = bench(["unit"], init=SPEAK, own={"speak_every": 5})
    for _ in range(11):
        page.locator(".pad").click()
    assert page.evaluate("() => window.spoken") == [["5", "Here"], ["10", "Here"]]
    page.evaluate("() => { window.onlyAway = true; }")
    for _ in range(5):
        page.locator(".pad").click()
    assert len(page.evaluate("() => window.spoken")) == 2  # nothing spoken leaves the device
    assert shown(page) == 16


WAKE = """
window.locks = [];
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
  const lock = new EventTarget();
  lock.release = async () => { lock.gone = true; lock.dispatchEvent(new Event("release")); };
  window.locks.push(lock); return lock; } } });
"""


def test_the_screen_is_kept_on_while_a_sitting_runs_and_says_so(bench: Bench) -> None:
    page = bench(["unit"], init=WAKE)
    held = "() => window.locks.filter((l) => !l.gone).length"
    assert page.evaluate(held) == 0
    page.locator(".pad").click()
    what = page.locator(".strip-what")
    expect(what).to_contain_text("Screen on")
    assert page.evaluate(held) == 1
    page.evaluate("() => window.locks[0].release()")  # as the system does when the page is put away
    expect(what).to_contain_text("May go dark")
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    expect(what).to_contain_text("Screen on")
    page.get_by_role("button", name="Pause the clock").click()
    wait_until(page, lambda: page.evaluate(held) == 0)
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("switch", name="Keep the screen on").click()
    page.get_by_role("link", name="Bench").click()
    page.get_by_role("button", name="Resume the clock").click()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "running")
    still(page)
    assert page.evaluate(held) == 0


def test_a_refused_wake_lock_is_said(bench: Bench) -> None:
    page = bench(
        ["unit"],
        init=(
            "navigator.wakeLock.request = async () => { throw new DOMException('no',"
            " 'NotAllowedError'); };"
        ),
    )
    page.locator(".pad").click()
    expect(page.locator(".strip-what")).to_contain_text("May go dark: refused")
    assert shown(page) == 1


def test_reduced_motion_moves_nothing(bench: Bench) -> None:
    assert bench(["unit"], reduced_motion="reduce").evaluate(MOVES) == 0
    assert bench(["unit"], reduced_motion="no-preference").evaluate(MOVES) > 0


MOVES = """() => [...document.querySelectorAll("*")].map((e) => getComputedStyle(e))
  .filter((s) => parseFloat(s.transitionDuration) > 0 || s.animationName !== "none").length"""
READ = [".pad-count", ".pad-item", ".pad-of", ".pad-place", ".pad-brief", ".strip-time", ".sight-forecast",
        ".tools button", ".sight-next", ".cards p"]  # fmt: skip
CUT = """([read, wide]) => { const out = [];
  for (const e of document.querySelectorAll(read.join(", "))) {
    const r = e.getBoundingClientRect(), p = e.closest(".pad")?.getBoundingClientRect();
    if (!r.width || e.closest("[hidden]") || getComputedStyle(e).position === "absolute") continue;
    const beyond = p && (r.top < p.top - 1 || r.bottom > p.bottom + 1 || r.left < p.left - 1 || r.right > p.right + 1);
    if (r.left < -1 || r.right > wide + 1 || beyond) out.push([e.className, r.left, r.top, r.right, r.bottom]);
  }
  return [out, document.documentElement.scrollWidth - wide]; }"""
SPACING = """* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }
  p { margin-bottom: 2em !important; }"""


@pytest.mark.parametrize("size", [*UPRIGHT, *LYING, (320, 568), (195, 422), (640, 400)])
def test_nothing_is_cut_off_at_any_size_or_at_200_percent(
    bench: Bench, size: tuple[int, int]
) -> None:
    """195 x 422 is the phone at 200 %; 640 x 400 is a desk at 200 %; 320 wide is WCAG 1.4.10."""
    page = bench(["unit"], size=size)
    for _ in range(3):
        page.locator(".lane-tray, .pad").last.click()
    cut, over = page.evaluate(CUT, [READ, size[0]])
    assert cut == [] and over <= 0
    pad = box(page, ".pad")
    assert pad["width"] >= 126 and pad["height"] >= 126


def test_text_spacing_overrides_hold(bench: Bench) -> None:
    """WCAG 1.4.12, with the values it names, set by script because of the page's policy."""
    page = bench(["unit"])
    page.evaluate(
        "(css) => { const s = new CSSStyleSheet(); s.replaceSync(css); document.adoptedStyleSheets"
        " = [s]; }",
        SPACING,
    )
    page.locator(".pad").click()
    saved(page)
    cut, over = page.evaluate(CUT, [READ, 390])
    assert cut == [] and over <= 0
    assert shown(page) == 1
