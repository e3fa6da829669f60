/**
 * Sends what a person tapped on one sheet, in batches, again and again with the same ids until the server has it.
 * No network and 5xx: waits, twice as long each time, with jitter. 4xx: stops, keeps everything, and says what a person
 * must do. One flusher at a time over all tabs, by a Web Lock. Events of another person are never sent.
 */
const FIRST_WAIT = 1000;
const LONGEST_WAIT = 60000;
const MOST = 100;

export class Outbox {
  /** post(batch) resolves to {status, body} or rejects without network; told({unsent, stop}) hears of every change. */
  constructor({ store, sheet, by, post, told, refresh, locks = globalThis.navigator?.locks, later = (work, ms) => setTimeout(work, ms), chance = Math.random }) {
    Object.assign(this, { store, sheet, by, post, told, refresh, locks, later, chance });
    this.failures = 0;
    this.most = MOST;
    this.stop = null;
    this.timer = null;
    this.busy = false;
  }

  async unsent() {
    const records = await this.store.events(this.sheet);
    return records.filter(record => !record.sent && record.by === this.by).map(record => record.event)
      .sort((a, b) => a.seq - b.seq);
  }

  /** Something was stored or the network came back: try now. After a 4xx only when a person says so (`retry`). */
  async flush(retry = false) {
    if (this.stop && !retry) return;
    clearTimeout(this.timer);
    this.again = true;
    if (this.busy) return;
    this.busy = true;
    this.stop = null;
    try {
      while (this.again) {
        this.again = false;
        await (this.locks ? this.locks.request("stepwitness-outbox", () => this.empty()) : this.empty());
      }
    } finally {
      this.busy = false;
    }
  }

  async empty() {
    for (let batch; (batch = (await this.unsent()).slice(0, this.most)).length && !this.stop;) {
      if (!(await this.send(batch))) break;
    }
    this.told({ unsent: (await this.unsent()).length, stop: this.stop });
  }

  async send(batch) {
    let answer;
    try {
      answer = await this.post({ device: this.store.device, events: batch });
    } catch {
      return this.wait();
    }
    const { status, body } = answer;
    if (status === 200) {
      const had = new Set(body.results.map(result => result.id));
      this.failures = 0;
      this.refreshed = false;
      await this.store.reached([...batch.filter(event => had.has(event.id)), ...(body.added ?? [])]);
      this.told({ unsent: (await this.unsent()).length, stop: null, added: body.added ?? [] });
      return batch.some(event => had.has(event.id));
    }
    if (status >= 500 || status === 429) return this.wait();
    if (status === 413 && this.most > 1) {
      this.most = Math.ceil(this.most / 2);
      return true;
    }
    if (status === 403 && body.code === "csrf" && !this.refreshed) {
      this.refreshed = true; // once: a token that is fresh and still refused needs a person
      await this.refresh().catch(() => {});
      return true;
    }
    this.stop = { status, code: body.code ?? "", message: body.message ?? "" };
    return false;
  }

  wait() {
    const wait = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** this.failures++);
    this.timer = this.later(() => this.flush(), wait * (0.5 + this.chance()));
    return false;
  }
}

const ADVICE = {
  sign_in: "Your sign-in has run out. Sign in again in another tab, then touch here; nothing is lost.",
  csrf: "The server refused the page’s token. Reload the page; nothing is lost.",
  not_yours: "This sheet now belongs to someone else. What you marked is kept here; tell the coordinator.",
  other_device: "Another tablet holds this sheet. Touch here to take it over; nothing is lost.",
  conflict: "The server holds a mark under the same id with other content. Everything is kept here; call the technician.",
  seq_taken: "The server holds another mark under the same count. Everything is kept here; call the technician.",
};

/** What a person must do, in a sentence. */
export function advice(stop) {
  return ADVICE[stop.code] ?? `The server refused the marks (${stop.code || stop.status}). Everything is kept here; call the technician.`;
}
