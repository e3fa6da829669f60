/** Adds further empty lines to the lists of a form; without it, each save offers one more. */
function offer(list) {
  const name = list.dataset.lines;
  const total = document.querySelector(`[name="${name}-TOTAL_FORMS"]`);
  const template = list.parentElement.querySelector("template");
  const acts = document.createElement("p");
  acts.className = "acts";
  const key = document.createElement("button");
  key.type = "button";
  key.className = "btn btn-sm";
  key.textContent = "One more line";
  key.addEventListener("click", () => {
    const line = document.createElement("div");
    line.innerHTML = template.innerHTML.replaceAll("__prefix__", total.value); // our own markup, no one's text
    list.append(...line.children);
    total.value = Number(total.value) + 1;
    list.lastElementChild.querySelector("select, input:not([type=hidden])").focus();
    list.dispatchEvent(new Event("change", { bubbles: true }));
  });
  acts.append(key);
  list.after(acts);
}
document.querySelectorAll("[data-lines]").forEach(offer);
