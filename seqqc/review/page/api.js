// Requests to the program, with the token that the address brought.

const key = "forayseq-token";

// takeToken moves the token from the address to this tab's memory.
export function takeToken() {
  const found = location.hash.match(/^#token=([\w-]+)$/);
  if (found) {
    sessionStorage.setItem(key, found[1]);
    history.replaceState(null, "", location.pathname + "#/");
  }
}

async function call(path, options = {}) {
  const headers = { ...options.headers, Authorization: "Bearer " + (sessionStorage.getItem(key) ?? "") };
  let response;
  try {
    response = await fetch(path, { ...options, headers });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Error("The program does not answer. It may have been ended; start it again and open the new address.");
  }
  const body = await response.json();
  if (!response.ok) throw new Error(body.error);
  return body;
}

const query = (values) => "?" + new URLSearchParams(values);

export const getBatch = () => call("api/batch");
export const getVoucher = (code) => call("api/voucher" + query({ code }));
export const getTrace = (code, file, at = "") => call("api/trace" + query({ code, file, at }));
export const awaitChange = (after) => call("api/changes" + query({ after }));
export const decide = (decision) => call("api/decide", {
  method: "POST",
  headers: { "Content-Type": "application/json" },
  body: JSON.stringify(decision),
});
