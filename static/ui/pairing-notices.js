// What the frame says about pairing: by the code of an address that was opened, and that this device is not paired.
// The Bench is in use meanwhile, so nothing of it waits or moves.
import { app as text } from "../texts/texts.js";
import { store } from "../store/store.js";
import { pairing } from "../store/pairing.js";
import { wasPaired } from "../store/history.js";
import { deviceKind } from "../device/kind.js";

/** @typedef {import("./notices.js").Notices} Notices */

const WAY = "setup/pair";

class PairingNotices {
  /** @param {() => Promise<Notices>} load @param {(on: boolean) => void} tries hears whether a code is being tried */
  constructor(load, tries) {
    this.load = load;
    this.tries = tries;
    /** Whether a code is being tried, or what it opens is on its way. */
    this.trying = false;
    this.own = text.kinds[deviceKind()];
    /** Whether the notice about it has been shown. */
    this.said = false;
    /** Whether the one that stands says that pairing has failed. */
    this.failed = false;
  }

  /** The server does not know this device: said once, with the way to pair it; taken back when it does. */
  async showUnpaired() {
    const { state } = store.sync.now;
    if (this.trying || pairing.busy || this.said === (state === "unpaired")) return;
    if (this.said && state !== "synced" && state !== "other") return;
    this.said = !this.said;
    const [all, before] = await Promise.all([this.load(), wasPaired()]);
    const words = before ? text.pairedNoMore : text.notPaired;
    if (this.said) all.show("unpaired", words, this.way(text.pairWay(this.own)));
    else for (const key of ["unpaired", ...(this.failed ? ["paired"] : [])]) all.remove(key);
  }

  /** @param {string} words */
  way(words) {
    return { href: `#${WAY}`, words };
  }

  /** @param {string} words @param {string} [further] */
  async say(words, further = text.pairedWay) {
    (await this.load()).show("paired", words, this.way(further));
  }

  /** A phone with nothing to tap yet goes on to its name and its installation; no other screen is taken away. @param {string} code */
  async pair(code) {
    this.#try(true);
    const fresh = !store.things("lane").length && location.hash === "";
    try {
      const done = await pairing.pair(code, text.names[deviceKind()]);
      this.failed = false;
      if (done === "already") await this.say(text.pairedAlready(this.own));
      else if (fresh && location.hash === "") location.hash = WAY;
      else await this.say(text.paired(this.own));
      await this.#answered();
    } catch (error) {
      this.failed = true;
      await this.say(
        text.pairingFailed(/** @type {Error} */ (error).message),
        text.pairWay(this.own),
      );
    }
    this.#try(false);
    await this.showUnpaired();
  }

  /** @param {boolean} on */
  #try(on) {
    this.trying = on;
    this.tries(on);
  }

  /** Until the server has answered this device as a paired one; a round that began before is let out. */
  async #answered() {
    await navigator.locks.request("ringwright-sync", () => {});
    if (store.sync.now.state === "unpaired") await store.sync.run();
  }
}

/**
 * @param {() => Promise<Notices>} load @param {string} code from the address, "" where there was none
 * @param {(on: boolean) => void} tries hears whether a code of an address is being tried
 */
export async function followPairing(load, code, tries) {
  const notices = new PairingNotices(load, tries);
  store.addEventListener("sync", () => notices.showUnpaired());
  addEventListener("hashchange", () => {
    if (location.hash === `#${WAY}`) load().then((all) => all.remove("unpaired")); // the maker is there
    const [, late] = /^#pair=(.+)$/.exec(location.hash) ?? [];
    if (!late) return;
    history.replaceState(null, "", location.pathname + location.search);
    notices.pair(late);
  });
  if (code) notices.pair(code);
  else notices.showUnpaired();
  await pairing.follow();
}
