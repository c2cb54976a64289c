// The page's state is the file's text and nothing else: form, drawings and boards follow it.

import { ask, Lane } from "./ask.js";
import { draggable } from "./drag.js";
import { checked, counts, el, faultList, mends, more } from "./drawn.js";
import { fill, mark, show, typing } from "./fields.js";
import { fileOf } from "./file.js";
import { layingOf } from "./lay.js";
import { outOf } from "./out.js";

const at = (id) => document.getElementById(id);
const { name } = document.body.dataset;

const now = { text: "", saved: "", known: "" };
const past = [];
const future = [];
let lastChange = { what: "", when: 0 };
let version = 0;
let tapes = [];

// Drawing and checks come first; counts and boards, which take longer, once nothing is typed for a moment.
const PAUSE = 300;
// Boards that are laid sooner than this bring all else with them.
const MEANWHILE = 250;
// A value that is typed is no fault yet, but only half there.
const HALF = 350;

const lanes = {
  stair: new Lane("stair", 700, 2), more: new Lane("more", 2000, 1), counts: new Lane("counts", 2000, 1), boards: new Lane("boards", 2000, 1),
};

// What is seen at once is said once it stays.
let saying = 0;
function say(text) {
  if (at("state").textContent === text) return;
  at("state").textContent = text;
  clearTimeout(saying);
  saying = setTimeout(() => { at("told").textContent = text; }, 800);
}

function trouble(text) {
  at("trouble").hidden = !text;
  at("trouble").replaceChildren(...(text ? [el("p", { class: "old-mark", text })] : []));
}

function failed(why) {
  if (why.why === "down" || why.why === "moved") file.gone(why.why);
  else trouble(why.message);
}

// ---- changes, made one after the other

let queue = [];
// Keys whose field holds what could not be put in the text; tried again with the next that is typed.
const refused = new Set();
let working = false;

function change(changes, what) {
  queue = queue.filter((waiting) => !(what && waiting.what === what));
  queue.push({ changes, what });
  file.keep();
  work();
}

// What waits is asked for together, so that a burst of keys is one question; where that is refused, one by one.
const TOGETHER = 20;
async function work() {
  if (working) return;
  working = true;
  let alone = 0;
  while (queue.length) {
    const mine = queue.splice(0, alone > 0 ? 1 : TOGETHER);
    const changes = mine.flatMap((one) => one.changes);
    const what = mine.map((one) => one.what).join(" ");
    const before = version;
    let found;
    // The stair is drawn beside the reading, as if nothing were wrong with what is typed.
    const ahead = lanes.stair.ask(now.text, changes).catch(() => null);
    try {
      found = await ask("answer/read", { text: now.text, changes });
      trouble("");
    } catch (why) {
      // It stays in its field, and is tried again with the next change, or once the service is back.
      queue.unshift(...mine.filter((one) => !(one.what && queue.some((waiting) => waiting.what === one.what))));
      failed(why);
      break;
    }
    alone--;
    if (before !== version) {
      queue.unshift(...mine);
      continue;
    }
    if (!found.ok && mine.length > 1) {
      queue.unshift(...mine);
      alone = mine.length;
      continue;
    }
    if (!found.ok) {
      const faults = found.faults.map((f) => ({ key: f.key || changes[0].key, text: f.text }));
      if (what && typing.has(what)) refused.add(what);
      mark(faults);
      trouble(`Not changed: ${faults.map((f) => f.text).join(" ")}`);
      continue;
    }
    for (const one of mine) {
      refused.delete(one.what);
      if (one.what && typing.get(one.what) === one.changes[0].typed) typing.delete(one.what);
    }
    if (found.text !== now.text) remember(mine.length > 1 ? "" : what);
    take(found, typing.size > 0 || Boolean(what), ahead);
  }
  working = false;
  file.keep();
}

function remember(what) {
  const soon = what && what === lastChange.what && (what.startsWith("drag ") || performance.now() - lastChange.when < 1500);
  if (!soon) past.push(now.text);
  if (past.length > 500) past.shift();
  future.length = 0;
  lastChange = { what, when: performance.now() };
}

// ---- the text, read anew

let faulting = 0;
function take(found, half = false, ahead = null) {
  now.text = found.text;
  version++;
  if (at("text").value !== now.text) at("text").value = now.text;
  at("all").disabled = !found.typed;
  if (found.typed) {
    tapes = found.typed.tapes;
    fill(found.typed, found.understood);
  }
  clearTimeout(faulting);
  faulting = 0;
  if (found.faults.length) {
    for (const lane of Object.values(lanes)) lane.drop();
    clearTimeout(pausing);
    laying.stopped();
    if (half) faulting = setTimeout(() => faulty(found.faults), HALF);
    else faulty(found.faults);
  } else {
    mark([]);
    draw(ahead);
  }
  able = found.faults.length === 0;
  buttons();
}

let able = false;
function faulty(faults) {
  faulting = 0;
  const places = mark(faults);
  faultList(at("faults"), "What is wrong", faults, places.map((place) => place && (() => show(place))));
  old(true);
  say(`${faults.length} ${faults.length === 1 ? "fault" : "faults"} in the job; ${faults[0].key} ${faults[0].text}`);
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
    if (found.ok) take(found, what === "text");
    else trouble(found.faults.map((f) => f.text).join(" "));
  } catch (why) {
    unread = true;
    failed(why);
  } finally {
    reads--;
    file.keep();
  }
}

function old(is) {
  const any = !at("verdict").hidden;
  at("answer").classList.toggle("old", is && any);
  at("old").hidden = !(is && any);
}

let drawing = 0;
let pausing = 0;
let following = 0;
let unread = false;
async function draw(ahead) {
  drawing++;
  clearTimeout(pausing);
  for (const what of ["more", "counts", "boards"]) lanes[what].drop();
  at("boards-old").hidden = at("boards").children.length === 0;
  const text = now.text;
  try {
    const found = await (ahead || lanes.stair.ask(text));
    if (found && text === now.text) drawn(text, found);
  } catch (why) {
    unread = true;
    failed(why);
  } finally {
    drawing--;
  }
}

function drawn(text, found) {
  if (found.ok) {
    mark([]);
    faultList(at("faults"), "", []);
    old(false);
    checked(found, drag);
    at("more-pictures").classList.add("late");
    if (!mendable(found)) mends([]);
    say(`Drawn: ${risers(found)}. ${verdict(found)}. Boards follow.`);
  } else {
    const places = mark(found.faults);
    faultList(at("faults"), "No stair", found.faults, places.map((place) => place && (() => show(place))));
    old(true);
    laying.stopped();
    say(`No stair: ${found.faults[0].text}`);
  }
  clearTimeout(pausing);
  pausing = setTimeout(() => after(text, found), PAUSE);
}

const mendable = (found) => found.checks.some((c) => c.outcome === "FAILS" || c.outcome === "over advice");

const risers = (found) => found.facts[0][1].replace(" of ", " risers of ");
const verdict = (found) => (found.holds ? "Required checks hold" : `Fails: ${found.failing.join(", ")}`);

async function after(text, stair) {
  pausing = 0;
  following++;
  try {
    await Promise.all([
      lanes.counts.ask(text).then((c) => { if (c && c.ok && text === now.text) counts(c, hold); }),
      stair.ok ? laidAndMore(text, mendable(stair)) : null,
    ]);
  } catch (why) {
    unread = true;
    failed(why);
  } finally {
    following--;
  }
}

// With the boards come the other drawings and the mends; they are asked for apart where boards take long, and where
// something is to be mended.
async function laidAndMore(text, hurry) {
  const laid = laying.lay(text);
  const first = hurry ? false : await Promise.race([laid, new Promise((go) => setTimeout(go, MEANWHILE, false))]);
  const asked = first || text !== now.text ? null : lanes.more.ask(text);
  await Promise.all([laid, asked && asked.then((m) => { if (m && m.ok && text === now.text) more(m, change); })]);
}

const hold = (risers) => change([{ do: "set", key: "stair.risers", typed: risers }]);
const laying = layingOf({
  now, lane: lanes.boards, say,
  done: (found) => {
    checked(found.checked, drag);
    lanes.more.drop();
    more(found.more, change);
    say(`${risers(found.checked)}. ${verdict(found.checked)}. Boards are laid.`);
  },
});
const drag = draggable(at("pictures"), { tapes: () => tapes, change });

// ---- the form

at("form").addEventListener("submit", (event) => event.preventDefault());
function typed(event) {
  const key = event.target.dataset.key;
  if (!key) return;
  typing.set(key, event.target.value);
  for (const each of new Set([...refused, key])) {
    if (typing.has(each)) change([{ do: "set", key: each, typed: typing.get(each) }], each);
  }
}

// Of a choice, what reads the screen aloud or fills in forms may tell no more than that it has changed.
const choice = (event) => event.target.tagName === "SELECT";
at("form").addEventListener("input", (event) => { if (!choice(event)) typed(event); });
at("form").addEventListener("change", (event) => {
  if (choice(event)) typed(event);
  if (event.target.dataset.part !== "tape") return;
  change([{ do: "tape", key: event.target.closest("[data-item]").dataset.item, to: event.target.value }]);
});

at("form").addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
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
  reading = setTimeout(() => readText(at("text").value, "text"), 150);
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
  readText(text, "").then(buttons);
  past.splice(0, past.length, ...keptPast);
  future.splice(0, future.length, ...keptFuture);
  buttons();
}
at("undo").addEventListener("click", () => step(past, future));
at("redo").addEventListener("click", () => step(future, past));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  if (event.key === "s") { event.preventDefault(); file.save(); }
  if (event.target.matches("input, textarea, select")) return;
  if (event.key === "z") { event.preventDefault(); step(event.shiftKey ? future : past, event.shiftKey ? past : future); }
});

function buttons() {
  at("undo").disabled = past.length === 0;
  at("redo").disabled = future.length === 0;
  at("save").disabled = now.text === now.saved;
  for (const id of ["export", "zip", "packet"]) at(id).disabled = !able;
}

async function settled() {
  if (at("text").value !== now.text && document.activeElement === at("text")) await readText(at("text").value, "text");
  for (let i = 0; i < 200 && (working || queue.length); i++) await new Promise((go) => setTimeout(go, 25));
}

// ---- the file, and the beginning

let begun = false;
const file = fileOf({
  now, past, say, trouble, failed, buttons, settled,
  note: trouble,
  begun: () => begun,
  waiting: () => queue,
  replace: (text) => {
    typing.clear();
    queue = [];
    return readText(text, "");
  },
  resume: () => {
    if (!begun) { begin(); return; }
    if (queue.length) work();
    if (unread) again();
  },
});
outOf({ now, failed, settled, buttons }, file.save);

async function again() {
  unread = false;
  try {
    const found = await ask("answer/read", { text: now.text });
    if (found.ok) take(found);
  } catch (why) {
    unread = true;
    failed(why);
  }
}

async function begin() {
  try {
    const found = await ask("disk");
    if (!found.ok) {
      trouble(found.faults.map((f) => f.text).join(" "));
      return;
    }
    const kept = file.kept();
    const mine = kept && (kept.text !== found.text || kept.queue.length) ? kept : null;
    now.saved = mine ? mine.saved : found.text;
    now.known = mine ? mine.known : found.state;
    if (mine) past.push(...mine.past);
    const read = await ask("answer/read", { text: mine ? mine.text : found.text });
    if (read.ok) take(read);
    else trouble(read.faults.map((f) => f.text).join(" "));
    begun = true;
    file.hello();
    if (!mine) return;
    say(`What you typed before is here again, and not saved yet.${found.state === mine.known ? "" : ` ${name} was changed on the disk meanwhile; saving will show both.`}`);
    for (const { changes, what } of mine.queue) {
      if (what && changes.length === 1 && changes[0].do === "set") typing.set(what, changes[0].typed);
      change(changes, what);
    }
  } catch (why) {
    failed(why);
  }
}

// What is still to come, for whoever drives the page from outside and waits for it: text and stair, or anything at all.
const stairBusy = () => working || queue.length > 0 || typing.size > 0 || drawing > 0 || reads > 0 || faulting > 0 || !begun;
Object.defineProperty(window, "cutpathStairBusy", { get: stairBusy });
Object.defineProperty(window, "cutpathBusy", { get: () => stairBusy() || pausing > 0 || following > 0 });

begin();
