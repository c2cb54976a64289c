// Asking the service. Every address is below the page's own, which holds the key of this run.

// `why`: "down" where nothing answers, "moved" where the key is another run's, "busy" where it was refused.
export class NoAnswer extends Error {
  constructor(why, text) {
    super(text);
    this.why = why;
  }
}

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
    throw new NoAnswer("down", "The service does not answer.");
  }
  if (got.status === 403) throw new NoAnswer("moved", "The service was started again and has another address.");
  if (!(got.headers.get("Content-Type") || "").startsWith("application/json")) {
    throw new NoAnswer("busy", `The service is too busy or refused this (${got.status}). Change anything to ask again.`);
  }
  try {
    return await got.json();
  } catch (why) {
    if (why.name === "AbortError") throw why;
    throw new NoAnswer("down", "The service ended before it had answered.");
  }
}

// One kind of question, of which only the latest matters. An answer that a later question made stale is dropped; the
// work on it may end by itself, since a new worker costs more than a short answer, but not go on for long.
export class Lane {
  // `most` at once, so that what is asked for later never keeps a key from its answer.
  constructor(what, patience, most) {
    this.what = what;
    this.most = most;
    this.patience = patience;
    this.latest = 0;
    this.under = new Set();
  }

  async ask(text, changes) {
    const mine = ++this.latest;
    this.#hurry();
    while (this.under.size >= this.most) {
      await Promise.race([...this.under].map((one) => one.done));
      if (mine !== this.latest) return null;
    }
    const abort = new AbortController();
    const run = crypto.getRandomValues(new Uint32Array(4)).join("-");
    const asked = ask(`answer/${this.what}`, { text, changes, run }, abort.signal);
    const one = { run, since: performance.now(), abort, done: asked.then(() => {}, () => {}) };
    this.under.add(one);
    one.done.then(() => this.under.delete(one));
    try {
      const found = await asked;
      return mine === this.latest ? found : null;
    } catch (why) {
      if (why.name === "AbortError" || mine !== this.latest) return null;
      throw why;
    }
  }

  // How far the work is that was asked for last.
  async far() {
    const one = [...this.under].pop();
    return one ? (await ask("far", { text: "", run: one.run })).far : "";
  }

  // The work is told to stop with the best so far, which then comes as the answer.
  async stop() {
    const one = [...this.under].pop();
    return one ? (await ask("stop", { text: "", run: one.run })).stopped : false;
  }

  // Until what was asked for last is answered.
  async answered() {
    await [...this.under].pop()?.done;
  }

  drop() {
    this.latest++;
    this.#hurry();
  }

  #hurry() {
    for (const one of this.under) {
      const left = this.patience - (performance.now() - one.since);
      setTimeout(() => { if (this.under.has(one)) one.abort.abort(); }, Math.max(left, 0));
    }
  }
}
