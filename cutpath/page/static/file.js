// The job's file under the page: saved, looked at, and what is typed kept over a restart and told to other tabs.

import { ask } from "./ask.js";
import { el } from "./drawn.js";

const at = (id) => document.getElementById(id);
const { name, job } = document.body.dataset;
const KEPT = `cutpath ${job}`;
const MOST_KEPT = 1 << 20;

export function fileOf(page) {
  const { now } = page;
  let theirs = null;

  async function save(known = now.known) {
    await page.settled();
    const text = now.text;
    try {
      const found = await ask("save", { text, known });
      page.trouble("");
      if (found.ok) {
        stands(text, found.state);
        page.say(`${name} is saved.`);
        tell({ saved: true });
        return true;
      }
      if (found.meanwhile) meanwhile(found.meanwhile);
      else page.trouble(found.faults.map((f) => f.text).join(" "));
    } catch (why) {
      page.failed(why);
    }
    return false;
  }

  function stands(text, state) {
    now.saved = text;
    now.known = state;
    page.buttons();
    keep();
  }

  function meanwhile(found) {
    theirs = found;
    apart(at("mine"), now.text, found.text);
    if (found.state) apart(at("theirs"), found.text, now.text);
    else at("theirs").textContent = "(the file is gone)";
    at("take-theirs").disabled = !found.state;
    if (!at("meanwhile").open) at("meanwhile").showModal();
    // Among hundreds of lines that are the same, the first that is not.
    for (const each of ["mine", "theirs"]) {
      const first = at(each).querySelector("mark");
      if (first) at(each).scrollTop = first.offsetTop - at(each).offsetTop - at(each).clientHeight / 3;
    }
  }

  // Shows a text, its lines marked that the other has not.
  function apart(where, text, other) {
    const known = new Set(other.split("\n"));
    where.replaceChildren(...text.split("\n").flatMap((line) => [known.has(line) ? line : el("mark", { text: line || " " }), "\n"]));
  }

  at("save").addEventListener("click", () => save());
  at("keep-mine").addEventListener("click", async () => {
    at("meanwhile").close();
    // What was on the disk goes among what Undo brings back.
    if (theirs.state) page.past.push(theirs.text);
    await save(theirs.state);
  });
  at("take-theirs").addEventListener("click", async () => {
    at("meanwhile").close();
    await page.replace(theirs.text);
    stands(theirs.text, theirs.state);
  });
  at("decide-later").addEventListener("click", () => at("meanwhile").close());

  // Looks whether somebody changed the file; another tab of the job is somebody.
  async function look() {
    if (at("meanwhile").open || !page.begun()) return;
    try {
      const found = await ask("disk");
      if (!found.ok || found.state === now.known) return;
      if (now.text === now.saved && found.state) {
        await page.replace(found.text);
        stands(found.text, found.state);
        page.say(`${name} was changed on the disk and is read anew; Undo brings back what stood here.`);
      } else {
        page.say(`${name} was changed on the disk; saving will show both.`);
      }
    } catch (why) {
      page.failed(why);
    }
  }
  addEventListener("focus", () => { if (!document.hidden) look(); });

  // ---- kept in this tab, so that a restart or a reload loses nothing

  let leaving = false;
  let later = 0;
  function keep() {
    clearTimeout(later);
    later = setTimeout(keepNow, 200);
  }
  function keepNow() {
    if (leaving || !page.begun()) return;
    clearTimeout(later);
    const { text, saved, known } = now;
    const queue = page.waiting();
    try {
      if (text === saved && !queue.length) {
        sessionStorage.removeItem(KEPT);
        return;
      }
      let past = page.past.slice(-20);
      while (past.length && past.join("").length > MOST_KEPT) past = past.slice(1);
      sessionStorage.setItem(KEPT, JSON.stringify({ text, saved, known, past, queue }));
    } catch {
      // There is no room or no leave to keep it; saving does the same.
    }
  }
  addEventListener("pagehide", keepNow);
  addEventListener("beforeunload", (event) => { if (!leaving && now.text !== now.saved) event.preventDefault(); });

  function kept() {
    try {
      const found = JSON.parse(sessionStorage.getItem(KEPT));
      return typeof found?.text === "string" ? found : null;
    } catch {
      return null;
    }
  }

  // ---- away: the service does not answer, or has another key

  let away = "";
  let asking = 0;
  function gone(why) {
    if (away === why) return;
    away = why;
    at("away").hidden = false;
    at("away").textContent = why === "down"
      ? "cutpath serve does not answer: it ended, or the network is gone. What you type is kept here. This page goes on by itself once it answers again."
      : "cutpath serve was started again and has another address. Open the one that it printed: this page then follows by itself, and brings along what you typed.";
    keepNow();
    if (why === "moved") tell({ where: true });
    if (!asking) asking = setInterval(again, 1500);
  }
  async function again() {
    keepNow();
    try {
      await ask("disk");
    } catch (why) {
      if (why.why === "moved") {
        gone("moved");
        tell({ where: true });
      }
      return;
    }
    back();
  }
  function back() {
    clearInterval(asking);
    asking = 0;
    if (!away) return;
    away = "";
    at("away").hidden = true;
    at("away").textContent = "";
    page.resume();
    look();
  }

  // Only pages of this very address and port hear each other, and a page is only there by its key.
  const channel = "BroadcastChannel" in window ? new BroadcastChannel(KEPT) : null;
  function tell(what) { channel?.postMessage({ ...what, at: location.pathname }); }
  channel?.addEventListener("message", async ({ data }) => {
    if (!data || typeof data.at !== "string" || !/^\/[\w-]+\/$/.test(data.at)) return;
    if (data.where && !away && page.begun()) tell({ here: true });
    if (data.here && data.at !== location.pathname && away) await follow(data.at);
    if (data.here && data.hello && !away && now.text !== now.saved) tell({ unsaved: true });
    if (data.unsaved) page.note("This job is open in another tab, too, with changes that are not saved yet.");
    if (data.saved) {
      page.note("");
      look();
    }
  });
  async function follow(where) {
    const found = await fetch(`${where}disk`).catch(() => null);
    if (!found?.ok) return;
    keepNow();
    leaving = true;
    location.replace(where);
  }

  return { save, look, keep, kept, gone, stands, hello: () => tell({ here: true, hello: true }) };
}
