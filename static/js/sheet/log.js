/**
 * The append-only log of one sheet on this tablet. An event is shown at once and counted as kept only when the store
 * has it on the disk. `changed` hears of every new event, `kept` of every one that reached the disk or could not.
 */
import { uuid7 } from "./ids.js";

const NOT_STORED = 1e9; // a count no stored event has; the store gives the true one

export class Log {
  constructor({ store, clock, sheet, by, events = [], changed = () => {}, kept = () => {} }) {
    Object.assign(this, { store, clock, sheet, by, changed, kept });
    this.events = events;
    this.ids = new Set(events.map(event => event.id));
    this.waiting = 0;
    this.failed = 0;
  }

  /** Writes one event and gives it back. `at`: an earlier reading of the clock, for what is named after it happened. */
  append(kind, payload = {}, at = this.clock.now()) {
    const event = {
      id: uuid7(), sheet: this.sheet, by: this.by, device: this.store.device, seq: NOT_STORED + this.events.length,
      at_ms: at, wall: new Date().toISOString(), kind, payload, source: "tablet",
    };
    this.take(event);
    this.waiting++;
    this.changed(event);
    this.keep(event);
    return event;
  }

  async keep(event) {
    try {
      await this.store.add(event);
    } catch {
      this.failed++; // a full or broken disk: marking goes on, and the page says that it is not kept
    }
    this.waiting--;
    this.kept(event);
  }

  /** Takes in events from the server or another tab. */
  receive(events) {
    const fresh = events.filter(event => this.take(event));
    if (fresh.length) this.changed(fresh.at(-1));
  }

  take(event) {
    if (this.ids.has(event.id)) return false;
    this.ids.add(event.id);
    this.events.push(event);
    return true;
  }
}
