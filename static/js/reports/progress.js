// Exports are made in the background: ask how far each is; when one ends, the page is read again to show it.
const rows = [...document.querySelectorAll("[data-export]")];

const ask = async (row) => {
  const answer = await fetch(row.dataset.export, { cache: "no-store" }).catch(() => null);
  if (answer?.ok) {
    const { state, words, done, total } = await answer.json();
    if (state !== "waiting" && state !== "running") {
      location.reload();
      return;
    }
    row.querySelector("[data-words]").textContent = total ? `${words}, ${done} of ${total}` : words;
    const bar = row.querySelector("[data-progress]");
    bar.max = total || 1;
    bar.value = done;
  }
  setTimeout(ask, 1500, row);
};

rows.forEach((row) => setTimeout(ask, 800, row));
