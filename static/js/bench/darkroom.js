/* Pictures taken on this page: kept here until each is stored, one request a file; shown from here or from the program.

   They are not put into the tablet's storage: they are too large for it. What is lost with the page is asked for again
   by the entry that names it. */

import { Turned } from "./queue.js";
import { say } from "./words.js";

const EDGE = 2000;
const QUALITY = 0.85;
const LARGE = 300_000;

export class Darkroom {
  /** `place` is the address that takes pictures; under it each is fetched by its id. */
  constructor({ place, token, job }) {
    Object.assign(this, { place, token, job });
    this.taken = new Map();
  }

  /** Take a file in; gives the id by which entries name it. */
  async take(id, file) {
    const blob = await smaller(file);
    this.taken.set(id, { blob, url: URL.createObjectURL(blob) });
    return id;
  }

  /** Where a picture is shown from: this page, while it is not stored. */
  source(id) {
    return this.taken.get(id)?.url ?? `${this.place}/${id}`;
  }

  /** The pictures of an entry that are not stored yet. */
  waiting(entry) {
    return (entry.pictures ?? []).map(({ id }) => id).filter((id) => this.taken.has(id));
  }

  /** Store what an entry waits for, one after the other; a repeat does no harm, each has its own id. */
  async send(entry) {
    for (const id of this.waiting(entry)) {
      await this.post(id);
      URL.revokeObjectURL(this.taken.get(id).url);
      this.taken.delete(id);
    }
  }

  async post(id) {
    const body = new FormData();
    body.set("id", id);
    body.set("job", String(this.job));
    body.set("file", this.taken.get(id).blob, "picture");
    const headers = { Accept: "application/json", "X-CSRFToken": this.token };
    const response = await fetch(this.place, { method: "POST", headers, body, credentials: "same-origin", redirect: "manual" });
    if (response.type === "opaqueredirect" || response.status === 401 || response.status === 403) {
      throw new Error(say("sign-in-again"));
    }
    const answer = await response.json().catch(() => null);
    if (response.ok && answer?.id === id) return;
    if ([409, 413, 422].includes(response.status) && answer?.error) throw new Turned(answer.error);
    throw new Error(say("no-answer"));
  }
}

/** Make a large JPEG smaller before it goes over a poor network; what cannot be read here the program looks at. */
async function smaller(file) {
  if (file.type !== "image/jpeg" || file.size < LARGE) return file;
  try {
    const image = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, EDGE / Math.max(image.width, image.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.width * scale);
    canvas.height = Math.round(image.height * scale);
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    image.close();
    const made = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    return made && made.size < file.size ? made : file;
  } catch {
    return file;
  }
}
