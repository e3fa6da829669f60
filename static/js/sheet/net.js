/** Talking with the server: JSON, the CSRF token from its cookie, and an answer for every status. */
const token = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? document.body.dataset.csrf;

async function answer(response) {
  const body = await response.json().catch(() => ({}));
  return { status: response.status, body };
}

/** Resolves to {status, body}; rejects when the server cannot be reached. */
export async function post(address, data) {
  return answer(await fetch(address, {
    method: "POST", credentials: "same-origin", body: JSON.stringify(data),
    headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": token() },
  }));
}

export async function get(address) {
  return answer(await fetch(address, { credentials: "same-origin", cache: "no-store", headers: { Accept: "application/json" } }));
}
