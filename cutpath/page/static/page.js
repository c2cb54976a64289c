// The page's state is the file's text and nothing else: form, drawings and boards follow it.

import { ask, Lane } from "./ask.js";
import { boards, checked, counts, el, faultList } from "./drawn.js";
import { fill, mark, show, typing } from "./fields.js";

const at = (id) => document.getElementById(id);
const name = at("save").textContent.replace(/^Save /, "");

const now = { text: "", saved: "", known: "" };
const past = [];
const future = [];
let lastChange = { what: "", when: 0 };
let version = 0;

const lanes = { stair: new Lane("stair", 700), counts: new Lane("counts", 300), boards: new Lane("boards", 300) };

function say(text) {
  if (at("state").textContent !== text) at("state").textContent = text;
}

function trouble(text) {
  at("trouble").hidden = !text;
  at("trouble").replaceChildren(...(text ? [el("p", { class: "old-mark", text })] : []));
}

// ---- changes, made one after the other

let queue = [];
let working = false;

function change(changes, what) {
  queue = queue.filter((waiting) => !(what && waiting.what === what));
  queue.push({ changes, what });
  work();
}

async function work() {
  if (working) return;
  working = true;
  while (queue.length) {
    const { changes, what } = queue.shift();
    const before = version;
    let found;
    try {
      found = await ask("answer/read", { text: now.text, changes });
      trouble("");
    } catch (why) {
      // It stays in its field, and is tried again with the next change.
      queue.unshift({ changes, what });
      trouble(why.message);
      break;
    }
    if (before !== version) {
      queue.unshift({ changes, what });
      continue;
    }
    if (!found.ok) {
      const faults = found.faults.map((f) => ({ key: f.key || changes[0].key, text: f.text }));
      mark(faults);
      trouble(`Not taken over: ${faults.map((f) => f.text).join(" ")}`);
      continue;
    }
    if (what && typing.get(what) === changes[0].typed) typing.delete(what);
    if (found.text !== now.text) remember(what);
    take(found);
  }
  working = false;
}

function remember(what) {
  const soon = what && what === lastChange.what && performance.now() - lastChange.when < 1500;
  if (!soon) past.push(now.text);
  if (past.length > 500) past.shift();
  future.length = 0;
  lastChange = { what, when: performance.now() };
}

// ---- the text, read anew

function take(found) {
  now.text = found.text;
  version++;
  if (at("text").value !== now.text) at("text").value = now.text;
  at("all").disabled = !found.typed;
  if (found.typed) fill(found.typed, found.understood);
  const places = mark(found.faults);
  faultList(at("faults"), "What is wrong", found.faults, places.map((place) => place && (() => show(place))));
  buttons();
  if (found.faults.length) {
    for (const lane of Object.values(lanes)) lane.drop();
    laying(false);
    old(true);
    say(`${found.faults.length} ${found.faults.length === 1 ? "fault" : "faults"} in the job; ${found.faults[0].key} ${found.faults[0].text}`);
  } else {
    draw();
  }
  at("export").disabled = at("zip").disabled = found.faults.length > 0;
}

let reads = 0;
async function readText(text, what) {
  if (text === now.text) return;
  reads++;
  remember(what);
  now.text = text;
  const mine = ++version;
  buttons();
  try {
    const found = await ask("answer/read", { text });
    trouble("");
    if (mine !== version) return;
    if (found.ok) take(found);
    else trouble(found.faults.map((f) => f.text).join(" "));
  } catch (why) {
    trouble(why.message);
  } finally {
    reads--;
  }
}

function old(is) {
  const any = !at("verdict").hidden;
  at("answer").classList.toggle("old", is && any);
  at("old").hidden = !(is && any);
}

let drawing = 0;
async function draw() {
  drawing++;
  try {
    await drawn(now.text);
  } finally {
    drawing--;
  }
}

async function drawn(text) {
  lanes.counts.drop();
  lanes.boards.drop();
  at("boards-old").hidden = at("boards").children.length === 0;
  try {
    const found = await lanes.stair.ask(text);
    if (!found || text !== now.text) return;
    const tried = lanes.counts.ask(text).then((c) => { if (c && c.ok && text === now.text) counts(c, hold); });
    tried.catch((why) => trouble(why.message));
    if (!found.ok) {
      const places = mark(found.faults);
      faultList(at("faults"), "No stair", found.faults, places.map((place) => place && (() => show(place))));
      old(true);
      laying(false);
      say(`No stair: ${found.faults[0].text}`);
      return;
    }
    mark([]);
    faultList(at("faults"), "", []);
    old(false);
    checked(found, mend);
    say(`Drawn: ${found.facts[0][1]}. ${found.holds ? "Required checks hold" : `Fails: ${found.failing.join(", ")}`}. Boards follow.`);
    await Promise.all([lay(text), tried.catch(() => {})]);
  } catch (why) {
    trouble(why.message);
  }
}

async function lay(text) {
  at("boards-part").hidden = false;
  laying(true);
  const found = await lanes.boards.ask(text);
  if (!found || text !== now.text) return;
  laying(false);
  if (!found.ok || found.missing.length) {
    const faults = found.ok ? found.missing : found.faults;
    mark(faults);
    at("boards").replaceChildren(el("p", { class: "fault", text: faults.map((f) => f.text).join(" ") }));
    at("boards-old").hidden = true;
    say(`Boards: ${faults[0].text}`);
    return;
  }
  checked(found.checked, mend);
  boards(found);
  at("boards-old").hidden = true;
  say(`${found.checked.facts[0][1]}. ${found.checked.holds ? "Required checks hold" : `Fails: ${found.checked.failing.join(", ")}`}. Boards are laid.`);
}

let since = 0;
let ticking = 0;
function laying(is) {
  clearInterval(ticking);
  at("laying").hidden = true;
  if (!is) return;
  since = performance.now();
  ticking = setInterval(() => {
    const seconds = Math.round((performance.now() - since) / 1000);
    at("laying").hidden = seconds < 1;
    at("laying").firstElementChild.textContent = `Laying the boards: ${seconds} s`;
  }, 500);
}

at("stop").addEventListener("click", async () => {
  if (await lanes.boards.stop().catch(() => false)) {
    say("Told to stop; what is laid so far is drawn.");
    return;
  }
  lanes.boards.drop();
  laying(false);
  at("boards").replaceChildren(el("p", { text: "Stopped; change anything to lay the boards again." }));
  at("boards-old").hidden = true;
  say("Laying the boards was stopped.");
});

const hold = (risers) => change([{ do: "set", key: "stair.risers", typed: risers }]);
const mend = (changes) => change(changes);

// ---- the form

let waiting = 0;
at("form").addEventListener("submit", (event) => event.preventDefault());
at("form").addEventListener("input", (event) => {
  const key = event.target.dataset.key;
  if (!key) return;
  typing.set(key, event.target.value);
  clearTimeout(waiting);
  waiting = setTimeout(send, event.target.tagName === "SELECT" ? 0 : 120);
});

function send() {
  clearTimeout(waiting);
  for (const [key, typed] of typing) change([{ do: "set", key, typed }], key);
}

at("form").addEventListener("change", (event) => {
  if (event.target.dataset.part !== "tape") return;
  change([{ do: "tape", key: event.target.closest("[data-item]").dataset.item, to: event.target.value }]);
});

at("form").addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  send();
  const item = button.closest("[data-item]")?.dataset.item;
  if (button.dataset.add) {
    change([{ do: "add", key: button.dataset.add }]);
    focusNew = button.dataset.add;
  } else if (button.dataset.out) {
    change([{ do: "remove", key: button.dataset.out }]);
  } else if (button.dataset.row === "out") {
    change([{ do: "remove", key: item }]);
  } else if (button.dataset.row) {
    const number = Number(item.match(/\[(\d+)\]$/)[1]);
    change([{ do: "move", key: item, to: number + (button.dataset.row === "up" ? -1 : 1) }]);
  }
});

let focusNew = "";
new MutationObserver(() => {
  if (!focusNew) return;
  const last = document.querySelector(`[data-rows="${CSS.escape(focusNew)}"] > ol > li:last-child input`);
  focusNew = "";
  if (last) last.focus();
}).observe(at("form"), { childList: true, subtree: true });

let reading = 0;
at("text").addEventListener("input", () => {
  clearTimeout(reading);
  reading = setTimeout(() => readText(at("text").value, "text"), 250);
});

// ---- undo and redo

function step(from, to) {
  if (!from.length) return;
  const text = from.pop();
  to.push(now.text);
  typing.clear();
  queue = [];
  lastChange = { what: "", when: 0 };
  const [keptPast, keptFuture] = [past.slice(), future.slice()];
  readText(text, "").then(() => buttons());
  past.splice(0, past.length, ...keptPast);
  future.splice(0, future.length, ...keptFuture);
  buttons();
}
at("undo").addEventListener("click", () => step(past, future));
at("redo").addEventListener("click", () => step(future, past));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  if (event.key === "s") { event.preventDefault(); save(); }
  if (event.target.matches("input, textarea, select")) return;
  if (event.key === "z") { event.preventDefault(); step(event.shiftKey ? future : past, event.shiftKey ? past : future); }
});

function buttons() {
  at("undo").disabled = past.length === 0;
  at("redo").disabled = future.length === 0;
  at("save").disabled = now.text === now.saved;
}

// ---- the file

async function settled() {
  send();
  if (at("text").value !== now.text && document.activeElement === at("text")) await readText(at("text").value, "text");
  for (let i = 0; i < 200 && (working || queue.length); i++) await new Promise((go) => setTimeout(go, 25));
}

async function save(known = now.known) {
  await settled();
  const text = now.text;
  try {
    const found = await ask("save", { text, known });
    trouble("");
    if (found.ok) {
      now.saved = text;
      now.known = found.state;
      buttons();
      say(`${name} is saved.`);
      return true;
    }
    if (found.meanwhile) meanwhile(found.meanwhile);
    else trouble(found.faults.map((f) => f.text).join(" "));
  } catch (why) {
    trouble(why.message);
  }
  return false;
}
at("save").addEventListener("click", () => save());

let theirs = null;
function meanwhile(found) {
  theirs = found;
  at("mine").textContent = now.text;
  at("theirs").textContent = found.state ? found.text : "(the file is gone)";
  at("take-theirs").disabled = !found.state;
  if (!at("meanwhile").open) at("meanwhile").showModal();
}
at("keep-mine").addEventListener("click", async () => {
  at("meanwhile").close();
  // What was on the disk goes among what Undo brings back.
  if (theirs.state) past.push(theirs.text);
  await save(theirs.state);
  buttons();
});
at("take-theirs").addEventListener("click", async () => {
  at("meanwhile").close();
  typing.clear();
  queue = [];
  await readText(theirs.text, "");
  now.saved = theirs.text;
  now.known = theirs.state;
  buttons();
});
at("decide-later").addEventListener("click", () => at("meanwhile").close());
addEventListener("beforeunload", (event) => { if (now.text !== now.saved) event.preventDefault(); });

async function look() {
  if (document.hidden || at("meanwhile").open) return;
  try {
    const found = await ask("disk");
    if (!found.ok || found.state === now.known) return;
    if (now.text === now.saved && found.state) {
      await readText(found.text, "");
      now.saved = found.text;
      now.known = found.state;
      buttons();
      say(`${name} was changed on the disk and is read anew; Undo brings back what stood here.`);
    } else {
      say(`${name} was changed on the disk; saving will show both.`);
    }
  } catch {
    // Said where something is asked for.
  }
}
addEventListener("focus", look);

// ---- files

async function out(to, button) {
  const said = at("exported");
  button.disabled = true;
  try {
    if (to === "folder" && !(await save())) return;
    await settled();
    said.replaceChildren(el("p", { text: "Writing, and cutting in simulation what is written..." }));
    const found = await ask("answer/export", { text: now.text, to, despite_checks: at("despite").checked });
    if (!found.ok) {
      said.replaceChildren(...found.faults.map((f) => el("p", { class: "fault", text: f.key ? `${f.key}: ${f.text}` : f.text })));
      return;
    }
    if (!found.written) {
      said.replaceChildren(el("p", { class: "fault", text: found.said }));
      return;
    }
    const lines = [];
    if (found.refused) lines.push(el("p", { class: "fault", text: found.refused }));
    if (to === "zip") {
      const bytes = Uint8Array.from(atob(found.zip), (c) => c.charCodeAt(0));
      const link = el("a", { href: URL.createObjectURL(new Blob([bytes], { type: "application/zip" })), download: found.name, text: `Download ${found.name}` });
      lines.push(el("p", {}, link));
      link.click();
    } else {
      lines.push(el("pre", { text: found.said }));
    }
    said.replaceChildren(...lines);
  } catch (why) {
    said.replaceChildren(el("p", { class: "fault", text: why.message }));
  } finally {
    button.disabled = false;
  }
}
at("export").addEventListener("click", () => out("folder", at("export")));
at("zip").addEventListener("click", () => out("zip", at("zip")));

// Whether an answer is still to come: for whoever drives the page from outside, and waits for it.
Object.defineProperty(window, "cutpathBusy", {
  get: () => working || queue.length > 0 || typing.size > 0 || drawing > 0 || reads > 0 || !begun,
});

// ---- the beginning

let begun = false;
async function begin() {
  try {
    const found = await ask("disk");
    if (!found.ok) {
      trouble(found.faults.map((f) => f.text).join(" "));
      return;
    }
    now.saved = found.text;
    now.known = found.state;
    const read = await ask("answer/read", { text: found.text });
    if (read.ok) take(read);
    else trouble(read.faults.map((f) => f.text).join(" "));
    begun = true;
  } catch (why) {
    trouble(why.message);
  }
}
begin();
