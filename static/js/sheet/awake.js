/** Keeps the screen on while the attempt runs; browsers drop the lock when the page is hidden. */
let lock = null;

export async function keepAwake(wanted) {
  if (!("wakeLock" in navigator) || document.hidden) return;
  if (!wanted) {
    await lock?.release();
    lock = null;
  } else if (!lock || lock.released) {
    lock = await navigator.wakeLock.request("screen").catch(() => null); // low battery refuses: not our decision
  }
}
