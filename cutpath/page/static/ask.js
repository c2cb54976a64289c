// Asking the service. Every address is below the page's own, which holds the key of this run.

export class NoAnswer extends Error {}

export async function ask(where, body, signal) {
  let got;
  try {
    got = await fetch(where, body === undefined ? { signal } : {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
      signal,
    });
  } catch (why) {
    if (why.name === "AbortError") throw why;
    throw new NoAnswer("The service does not answer. Is cutpath serve still running? What you typed is still on this page; its text is under The file's text.");
  }
  if (got.status === 403) {
    throw new NoAnswer("The service was started again and has another address: open the one that it printed. What you typed is still on this page; its text is under The file's text.");
  }
  if (!(got.headers.get("Content-Type") || "").startsWith("application/json")) {
    throw new NoAnswer(`The service is too busy or refused this (${got.status}). Change anything to ask again.`);
  }
  return got.json();
}

// One kind of question, of which only the latest matters. An answer that a later question made stale is dropped; one
// that takes long is ended for the later one's sake.
export class Lane {
  constructor(what, patience) {
    this.what = what;
    this.patience = patience;
    this.latest = 0;
    this.under = null;
  }

  async ask(text) {
    const mine = ++this.latest;
    while (this.under) {
      const { since, abort, done } = this.under;
      const left = this.patience - (performance.now() - since);
      if (left <= 0) abort.abort();
      await Promise.race([done, new Promise((go) => setTimeout(go, Math.max(left, 50)))]);
      if (mine !== this.latest) return null;
    }
    const abort = new AbortController();
    const run = crypto.getRandomValues(new Uint32Array(4)).join("-");
    const asked = ask(`answer/${this.what}`, { text, run }, abort.signal);
    const under = { run, since: performance.now(), abort, done: asked.then(() => {}, () => {}) };
    this.under = under;
    under.done.then(() => { if (this.under === under) this.under = null; });
    try {
      const found = await asked;
      return mine === this.latest ? found : null;
    } catch (why) {
      if (why.name === "AbortError") return null;
      throw why;
    }
  }

  // The work is told to stop with the best so far, which then comes as the answer.
  async stop() {
    const run = this.under?.run;
    return run ? (await ask("stop", { text: "", run })).stopped : false;
  }

  drop() {
    this.latest++;
    if (this.under) this.under.abort.abort();
  }
}
