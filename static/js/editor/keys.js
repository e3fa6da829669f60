/** Alt and an arrow moves the step whose row has the focus, by the row's own keys. */
document.addEventListener("keydown", event => {
  if (!event.altKey || event.ctrlKey || event.metaKey) return;
  const row = document.activeElement?.closest?.(".ed-step");
  const way = { ArrowUp: "up", ArrowDown: "down" }[event.key];
  if (!row || !way) return;
  event.preventDefault();
  document.getElementById(`${way}-${row.dataset.step}`)?.click();
});
