// The boards being laid: how long it takes, how far it is, and the button that stops it with the best so far.

import { boards, el, forget } from "./drawn.js";
import { mark } from "./fields.js";

// Hundreds of boards with their drawings are there sooner than this, once they are laid.
const ON_ITS_WAY = 3000;
const at = (id) => document.getElementById(id);

export function layingOf({ now, lane, say, done }) {
  // Gives whether they are laid and all that comes with them is shown.
  async function lay(text) {
    at("boards-part").hidden = false;
    started();
    const found = await lane.ask(text);
    if (!found || text !== now.text) return false;
    stopped();
    at("boards-old").hidden = true;
    if (!found.ok || found.missing.length) {
      const faults = found.ok ? found.missing : found.faults;
      mark(faults);
      none("fault", faults.map((f) => f.text).join(" "));
      say(`Boards: ${faults[0].text}`);
      return false;
    }
    boards(found);
    done(found);
    return true;
  }

  function none(kind, text) {
    forget(at("boards"));
    at("boards").replaceChildren(el("p", { class: kind, text }));
    at("board-pictures").replaceChildren();
  }

  let ticking = 0;
  function started() {
    stopped();
    const since = performance.now();
    const mine = setInterval(async () => {
      const seconds = Math.round((performance.now() - since) / 1000);
      const far = await lane.far().catch(() => "");
      if (mine !== ticking) return;
      at("laying").hidden = false;
      at("laying").firstElementChild.textContent = `Laying the boards: ${seconds} s${far ? `, ${far}` : ""}`;
    }, 1000);
    ticking = mine;
  }
  function stopped() {
    clearInterval(ticking);
    ticking = 0;
    at("laying").hidden = true;
  }

  at("stop").addEventListener("click", async () => {
    if (await lane.stop().catch(() => false)) {
      say("Told to stop; what is laid so far is drawn.");
      return;
    }
    say("Stopping.");
    // They may just have been laid, and be on their way.
    await Promise.race([lane.answered(), new Promise((go) => setTimeout(go, ON_ITS_WAY))]);
    if (at("laying").hidden) return;
    lane.drop();
    stopped();
    none("", "Stopped; change anything to lay the boards again.");
    at("boards-old").hidden = true;
    say("Laying the boards was stopped.");
  });

  return { lay, stopped };
}
