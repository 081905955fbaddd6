// Setup of what the hands, eyes and ears get: theme, hand, sounds, voice, screen, pedals, rest.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { aloud, canBuzz, ownVoice } from "../../device/capabilities.js";
import { BREAK_MIN } from "../../device/break-reminder.js";
import { DEEDS, learn, switchKeys, taught, teach } from "../../device/key-bindings.js";
import { senses } from "../../device/feedback.js";
import { buttonChoice, numberField, switchField } from "../../ui/form-fields.js";

let learning = "";

export function eyes() {
  return html`<section class="sheet"><h2>Eyes and hands</h2>
    <h3>Light</h3>${buttonChoice(
      "Light",
      [
        ["system", "As the device"],
        ["dark", "Forge (dark)"],
        ["light", "Daylight"],
      ],
      store.own("theme", "system"),
      (v) => store.setOwn("theme", v),
    )}
    <h3>Which hand taps</h3>${buttonChoice(
      "Hand",
      [
        ["right", "Right"],
        ["left", "Left"],
      ],
      store.own("hand", "right"),
      (v) => store.setOwn("hand", v),
    )}
    <h3>Measures</h3>${switchField('Letters on the keyboard, to type 12 in or 3/8"', store.own("letters", false), (v) => store.setOwn("letters", v))}
    <h3>Screen</h3>${switchField("Keep the screen on while the clock runs", store.own("awake", true), (v) => store.setOwn("awake", v))}
    <h3>Rest for the hands</h3>
    ${numberField(
      "break_min",
      "Remind after, minutes of work on end (0 = never)",
      store.setting("break_min", BREAK_MIN),
      (v) => store.setSetting("break_min", v ?? BREAK_MIN),
      {
        short: true,
        low: 0,
        high: 600,
        whole: true,
        hint: "60 unless you say otherwise: less than an hour without a break is the lowest band in the Health and Safety Executive's leaflet on repetitive tasks, INDG438 (ART). The band is quoted from memory and not checked against the leaflet. It is a reminder, not medical advice.",
      },
    )}
  </section>`;
}

export function ears() {
  const voice = ownVoice();
  return html`<section class="sheet"><h2>Ears and skin</h2>
    <div class="row">${switchField("Click at each tap", store.own("click", true), (v) => store.setOwn("click", v))}
    ${switchField("Vibration", store.own("buzz", true), (v) => store.setOwn("buzz", v))}
    <button type="button" @click=${() => senses.give("full")}>Try the cue for a full chain</button></div>
    ${canBuzz() ? null : html`<p class="soft">This browser has no vibration.</p>`}
    ${numberField(
      "speak_every",
      "Say the count aloud every so many (0 = never)",
      store.own("speak_every", 0),
      (v) => store.setOwn("speak_every", v ?? 0),
      {
        short: true,
        low: 0,
        high: 100000,
        whole: true,
        hint: voice
          ? `With the voice “${voice.name}”, which is on this device.`
          : "No voice is kept on this device, so nothing can be spoken.",
      },
    )}
    ${voice ? html`<button type="button" @click=${() => aloud("120")}>Hear the voice</button>` : null}
  </section>`;
}

/** @param {() => void} redraw */
export function pedals(redraw) {
  const { on, map } = taught();
  const keyOf = (/** @type {string} */ deed) => Object.keys(map).find((k) => map[k] === deed) ?? "";
  const begin = async (/** @type {string} */ deed) => {
    learning = deed;
    redraw();
    const key = await learn();
    learning = "";
    if (key) await teach(deed, key);
    redraw();
  };
  return html`<section class="sheet"><h2>Pedals, clickers and keys</h2>
    <p>Anything that acts as a keyboard. Touch Learn, then press the pedal; Escape leaves it as it is. A key held down counts once.</p>
    ${switchField("Pedals and keys", on, (v) => switchKeys(v))}
    <p class="quiet" role="status">${learning ? `Press the key for: ${DEEDS.find(([d]) => d === learning)?.[1]}` : ""}</p>
    <ul class="deeds">${DEEDS.map(
      ([
        deed,
        word,
      ]) => html`<li data-deed=${deed}><span>${word}: <b>${learning === deed ? "press it now" : keyOf(deed) || "no key"}</b></span>
      <span class="row"><button type="button" aria-label=${`Learn the key for: ${word}`} @click=${() => begin(deed)}>Learn</button>
      <button type="button" aria-label=${`Forget the key for: ${word}`} ?disabled=${!keyOf(deed)} @click=${() => teach(deed, "")}>Forget</button></span></li>`,
    )}</ul>
  </section>`;
}
