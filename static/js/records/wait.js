// The PDF of a fresh record is set in the background: ask until it is there, then put the link in place.
const place = document.querySelector("[data-pdf]");

const ask = async () => {
  const answer = await fetch(place.dataset.pdf, { method: "HEAD", cache: "no-store" }).catch(() => null);
  if (answer?.status === 200) {
    place.querySelector("[data-ready]").hidden = false;
    place.querySelector("[data-waiting]").textContent = "The PDF is ready.";
  } else {
    setTimeout(ask, 2000);
  }
};

if (place) {
  setTimeout(ask, 1000);
}
