/** UUIDv7 (RFC 9562): 48 bits of milliseconds, then random bits. Never goes back, even when the wall clock does. */
let last = 0;

export function uuid7(now = Date.now()) {
  last = Math.max(now, last);
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0, rest = last; i < 6; i++, rest = Math.floor(rest / 256)) bytes[5 - i] = rest % 256;
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, b => b.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
