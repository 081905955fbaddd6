// Setup of what the hands, eyes and ears get: theme, hand, sounds, voice, screen, pedals, rest.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { setup as text, ui } from "../../texts/texts.js";
import { aloud, canBuzz, ownVoice } from "../../device/capabilities.js";
import { BREAK_MIN } from "../../device/break-reminder.js";
import { DEEDS, learn, switchKeys, taught, teach } from "../../device/key-bindings.js";
import { senses } from "../../device/feedback.js";
import { capitalChoices, label } from "../../format/labels.js";
import { buttonChoice, numberField, switchField } from "../../ui/form-fields.js";

let learning = "";

export function eyes() {
  return html`<section class="sheet"><h2>${text.eyesAndHands}</h2>
    <h3>${label("theme")}</h3>${buttonChoice(
      label("theme"),
      capitalChoices("theme"),
      store.own("theme", "system"),
      (v) => store.setOwn("theme", v),
    )}
    <h3>${label("hand")}</h3>${buttonChoice(
      label("hand"),
      capitalChoices("hand"),
      store.own("hand", "right"),
      (v) => store.setOwn("hand", v),
    )}
    <h3>${text.measures}</h3>${switchField(ui.typeInches, store.own("letters", false), (v) => store.setOwn("letters", v))}
    <h3>${text.screen}</h3>${switchField(text.keepScreenOn, store.own("awake", true), (v) => store.setOwn("awake", v))}
    <h3>${text.rest}</h3>
    ${numberField(
      "break_min",
      label("break_min"),
      store.setting("break_min", BREAK_MIN),
      (v) => store.setSetting("break_min", v ?? BREAK_MIN),
      { short: true, low: 0, high: 600, whole: true, hint: text.restHint(BREAK_MIN) },
    )}
  </section>`;
}

export function ears() {
  const voice = ownVoice();
  return html`<section class="sheet"><h2>${text.sound}</h2>
    <div class="row">${switchField(label("click"), store.own("click", true), (v) => store.setOwn("click", v))}
    ${switchField(label("buzz"), store.own("buzz", true), (v) => store.setOwn("buzz", v))}
    <button type="button" @click=${() => senses.give("full")}>${text.tryFull}</button></div>
    ${canBuzz() ? null : html`<p class="soft">${text.noVibration}</p>`}
    ${numberField(
      "speak_every",
      label("speak_every"),
      store.own("speak_every", 0),
      (v) => store.setOwn("speak_every", v ?? 0),
      {
        short: true,
        low: 0,
        high: 100000,
        whole: true,
        hint: voice ? text.speakHint(voice.name) : text.noVoice,
      },
    )}
    ${voice ? html`<button type="button" @click=${() => aloud("120")}>${text.hearVoice}</button>` : null}
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
  return html`<section class="sheet"><h2>${text.pedals}</h2>
    <p>${text.pedalsHint}</p>
    ${switchField(label("keys"), on, (v) => switchKeys(v))}
    <p class="quiet" role="status">${learning ? text.pressFor(DEEDS.find(([d]) => d === learning)?.[1]) : ""}</p>
    <ul class="deeds">${DEEDS.map(
      ([
        deed,
        word,
      ]) => html`<li data-deed=${deed}><span>${text.keyOf(word)} <b>${learning === deed ? text.pressNow : keyOf(deed) || text.noKey}</b></span>
      <span class="row"><button type="button" aria-label=${ui.named(text.setKey, word)} @click=${() => begin(deed)}>${text.setKey}</button>
      <button type="button" aria-label=${ui.named(text.clearKey, word)} ?disabled=${!keyOf(deed)} @click=${() => teach(deed, "")}>${text.clearKey}</button></span></li>`,
    )}</ul>
  </section>`;
}
