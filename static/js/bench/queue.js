/* Keep entries here until they are stored: never lost, sent one list at a time, sent again by itself.

   The tablet's storage holds them too, by job and person, so that a page closed by accident brings them back. A repeat
   does no harm: each entry carries its own id, and the program answers "stored before". */

import { say } from "./words.js";

const LIST = 20;
const FIRST_WAIT = 2_000;
const LONGEST_WAIT = 60_000;

/** Leave out what the page keeps for itself: the figure as it read it. */
function asSent({ si, unit, ...entry }) {
  return entry;
}

function stored(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "[]");
  } catch {
    return [];
  }
}

/** A server's answer that says: this list will never do. */
export class Turned extends Error {}

export class Queue {
  /** `place` is the address that takes entries, `token` the form's token, `tell(news)` hears of every change. */
  constructor({ place, token, job, person, tell, darkroom = null }) {
    Object.assign(this, { place, token, job, tell, darkroom });
    this.key = `kept:${job}:${person}`;
    this.items = stored(this.key);
    this.lastStored = null;
    this.trouble = "";
    this.sending = false;
    this.developing = false;
    this.one = false;
    this.wait = FIRST_WAIT;
    this.timer = null;
  }

  /** Begin: send what was kept before, and try whenever there is a chance that it may work. */
  start() {
    window.addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.send());
    window.addEventListener("beforeunload", (event) => this.kept.length && event.preventDefault());
    this.send();
  }

  /** Entries that are neither stored nor refused. */
  get kept() {
    return this.items.filter((item) => !item.refused);
  }

  /** Say whether an entry waits for pictures that are not stored yet: everything else goes ahead of it. */
  waits(item) {
    return (this.darkroom?.waiting(item.entry).length ?? 0) > 0;
  }

  get ready() {
    return this.kept.filter((item) => !this.waits(item));
  }

  get refused() {
    return this.items.filter((item) => item.refused);
  }

  /** Take an entry, give it its number, and send. Numbers rise on this tablet also after its storage was emptied. */
  add(entry) {
    const counter = Math.max(this.lastCounter() + 1, Date.now());
    this.remember("counter", counter);
    this.items.push({ entry: { ...entry, counter }, refused: null });
    this.changed();
    this.send();
  }

  lastCounter() {
    return Math.max(0, Number(localStorageGet("counter")), ...this.items.map((item) => item.entry.counter));
  }

  remember(key, value) {
    try {
      localStorage.setItem(key, String(value));
    } catch {
      /* Storage is shut: the page itself keeps the entries, and warns before it is left. */
    }
  }

  /** Throw away an entry that was refused. */
  discard(id) {
    this.items = this.items.filter((item) => item.entry.id !== id);
    this.changed();
  }

  changed(sheet = null, answers = []) {
    this.remember(this.key, JSON.stringify(this.items));
    this.tell({ sheet, answers });
  }

  /** Send one list; a failure is tried again later, an answer is taken whatever it says. */
  async send() {
    clearTimeout(this.timer);
    this.develop();
    if (this.sending || !this.ready.length) return;
    this.sending = true;
    const list = this.ready.slice(0, this.one ? 1 : LIST).map((item) => item.entry);
    try {
      this.take(await this.post(list));
    } catch (error) {
      this.failed(error, list);
    } finally {
      this.sending = false;
    }
    if (this.ready.length) this.later();
  }

  /** Store the pictures of what is kept, one after the other; each entry goes once its own are there. */
  async develop() {
    const item = this.kept.find((one) => this.waits(one));
    if (this.developing || !item) return;
    this.developing = true;
    try {
      await this.darkroom.send(item.entry);
    } catch (error) {
      if (error instanceof Turned) item.refused = { sentence: error.message, field: "pictures" };
      else this.failed(error, []);
    } finally {
      this.developing = false;
    }
    this.changed();
    this.later();
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), this.trouble ? this.wait : 0);
  }

  async post(list) {
    const response = await fetch(this.place, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": this.token },
      body: JSON.stringify({ clock: new Date().toISOString(), entries: list.map(asSent) }),
      credentials: "same-origin",
      redirect: "manual",
    });
    if (response.type === "opaqueredirect" || response.status === 401 || response.status === 403) {
      throw new Error(say("sign-in-again"));
    }
    const answer = await response.json().catch(() => null);
    if (answer?.answers) return answer;
    if ((response.status === 400 || response.status === 413) && answer?.error) throw new Turned(answer.error);
    throw new Error(say("no-answer"));
  }

  take({ answers, sheet }) {
    for (const answer of answers) {
      const item = this.items.find((kept) => kept.entry.id === answer.id);
      if (item && answer.state === "refused") item.refused = { sentence: answer.sentence, field: answer.field ?? "" };
      else if (item) this.items.splice(this.items.indexOf(item), 1);
    }
    Object.assign(this, { lastStored: new Date(), trouble: "", wait: FIRST_WAIT, one: false });
    this.changed(sheet, answers);
  }

  failed(error, list) {
    if (error instanceof Turned) Object.assign(this, { trouble: "", wait: FIRST_WAIT });
    // A list turned away whole is sent one by one: only the entry that is wrong is refused with the sentence.
    if (error instanceof Turned && list.length === 1) {
      this.items.find((item) => item.entry.id === list[0].id).refused = { sentence: error.message, field: "" };
      this.one = false;
    } else if (error instanceof Turned) {
      this.one = true;
    } else {
      this.trouble = error instanceof TypeError ? say("no-network") : error.message;
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT);
    }
    this.changed();
  }
}

function localStorageGet(key) {
  try {
    return localStorage.getItem(key) ?? 0;
  } catch {
    return 0;
  }
}
