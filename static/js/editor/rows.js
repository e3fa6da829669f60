/** The preview of a list: rows show what they are as soon as it is chosen, and Alt with an arrow changes it. */
const ORDER = ["section", "step", "subpoint", "join"];

function shown(row) {
  row.dataset.kind = row.querySelector("select").value;
  let number = 0;
  for (const one of document.querySelectorAll(".rows > li")) {
    one.querySelector(".n").textContent = one.dataset.kind === "step" ? ++number : "";
  }
}

document.querySelector(".rows").addEventListener("change", event => {
  if (event.target.name === "kind") shown(event.target.closest("li"));
});
document.querySelector(".rows").addEventListener("keydown", event => {
  const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (!by || !event.altKey) return;
  event.preventDefault();
  const row = event.target.closest("li");
  const select = row.querySelector("select");
  const at = ORDER.indexOf(select.value);
  select.value = at < 0 ? "step" : ORDER[Math.min(Math.max(at + by, 0), ORDER.length - 1)];
  shown(row);
});
