// What the whole page has to say, each once, until it is put away. Never in the way of a pad.

export class Notices {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
  }

  /** @param {string} key @param {string} text */
  say(key, text) {
    return this.#put(key, text);
  }

  /** @param {{why: string, way?: {href: string, words: string}}} what `way`: where something can be done about it */
  trouble({ why, way }) {
    if (!way) return this.#put("trouble", why);
    const link = document.createElement("a");
    link.href = way.href;
    link.textContent = way.words;
    return this.#put("trouble", why, link);
  }

  /** @param {string} text @param {string} word @param {() => void} act */
  offer(text, word, act) {
    const button = document.createElement("button");
    button.textContent = word;
    button.addEventListener("click", act);
    this.#put("offer", text, button);
  }

  /** @param {string} key @param {string} text @param {HTMLElement} [more] */
  #put(key, text, more) {
    this.place.querySelector(`[data-key="${key}"]`)?.remove();
    const box = document.createElement("div");
    box.className = "notice";
    box.dataset.key = key;
    box.setAttribute("role", key === "trouble" ? "alert" : "status");
    const words = document.createElement("p");
    words.textContent = text;
    const away = document.createElement("button");
    away.textContent = "Put away";
    away.addEventListener("click", () => box.remove());
    box.append(words, ...(more ? [more] : []), away);
    this.place.append(box);
  }
}
