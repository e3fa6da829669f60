/**
 * What the tablet keeps: its device id, each opened sheet, and every event, in IndexedDB. The device id is made together
 * with the storage, so a cleared storage is a new device and its counts cannot collide with earlier ones.
 * A record of `events` is {id, sheet, by, sent: 0 | 1, event}.
 */
import { uuid7 } from "./ids.js";

const done = request => new Promise((good, bad) => {
  request.onsuccess = () => good(request.result);
  request.onerror = () => bad(request.error);
});
const ended = transaction => new Promise((good, bad) => {
  transaction.oncomplete = () => good();
  transaction.onabort = transaction.onerror = () => bad(transaction.error);
});

export async function openStore(name = "stepwitness") {
  const opening = indexedDB.open(name, 1);
  opening.onupgradeneeded = () => {
    const db = opening.result;
    db.createObjectStore("device").put({ id: uuid7(), seq: 0 }, "this");
    db.createObjectStore("sheets", { keyPath: "id" });
    db.createObjectStore("events", { keyPath: "id" }).createIndex("sheet", "sheet");
  };
  const db = await done(opening);
  db.onversionchange = () => db.close();
  return new Store(db, (await done(db.transaction("device").objectStore("device").get("this"))).id);
}

class Store {
  constructor(db, device) {
    this.db = db;
    this.device = device;
  }

  sheet(id) {
    return done(this.db.transaction("sheets").objectStore("sheets").get(id));
  }

  /** Keeps what is known of a sheet: {id, bundle, last reading of the clock, outcome seen}. */
  keep(sheet) {
    return this.write(["sheets"], stores => stores("sheets").put(sheet));
  }

  events(sheet) {
    return done(this.db.transaction("events").objectStore("events").index("sheet").getAll(sheet));
  }

  /** Stores a new event under the device's next count, which two tabs share. Resolves when it is on the disk. */
  add(event) {
    return this.write(["device", "events"], stores => {
      const counter = stores("device");
      counter.get("this").onsuccess = found => {
        const device = found.target.result;
        event.seq = ++device.seq;
        counter.put(device, "this");
        stores("events").add({ id: event.id, sheet: event.sheet, by: event.by, sent: 0, event });
      };
    });
  }

  /** Events that the server has, sent from here or come from it. */
  reached(events) {
    return this.write(["events"], stores => {
      for (const event of events) {
        stores("events").put({ id: event.id, sheet: event.sheet, by: event.by, sent: 1, event });
      }
    });
  }

  /** After the seal: names and figures leave the tablet, and so does every event that the server has. */
  async forget(sheet) {
    const had = (await this.events(sheet)).filter(record => record.sent);
    return this.write(["sheets", "events"], stores => {
      stores("sheets").delete(sheet);
      for (const { id } of had) stores("events").delete(id);
    });
  }

  write(names, work) {
    const transaction = this.db.transaction(names, "readwrite", { durability: "strict" });
    work(name => transaction.objectStore(name));
    return ended(transaction);
  }
}

/** The same, for a browser that refuses storage: nothing outlives the page, and the page says so. */
export class MemoryStore {
  constructor() {
    Object.assign(this, { device: uuid7(), seq: 0, records: new Map(), sheets: new Map(), volatile: true });
  }

  async sheet(id) {
    return this.sheets.get(id);
  }

  async keep(sheet) {
    this.sheets.set(sheet.id, sheet);
  }

  async events(sheet) {
    return [...this.records.values()].filter(record => record.sheet === sheet);
  }

  async add(event) {
    event.seq = ++this.seq;
    this.records.set(event.id, { id: event.id, sheet: event.sheet, by: event.by, sent: 0, event });
  }

  async reached(events) {
    for (const event of events) this.records.set(event.id, { id: event.id, sheet: event.sheet, by: event.by, sent: 1, event });
  }
}
