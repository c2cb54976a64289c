// Files out of the page: into the folder beside the job, as one zip, the packet in a tab.

import { ask } from "./ask.js";
import { el } from "./drawn.js";

const at = (id) => document.getElementById(id);

export function outOf(page, save) {
  const said = at("exported");
  const fault = (text) => el("p", { class: "fault", text });

  async function made(button, words, make) {
    button.disabled = true;
    try {
      said.replaceChildren(el("p", { text: words }));
      said.replaceChildren(...(await make()));
    } catch (why) {
      said.replaceChildren(fault(why.message));
      page.failed(why);
    } finally {
      said.scrollIntoView({ block: "nearest" });
      page.buttons();
    }
  }

  async function files(to) {
    if (to === "folder" && !(await save())) return [fault("Nothing was written: the job is not saved.")];
    await page.settled();
    const found = await ask("answer/export", { text: page.now.text, to, despite_checks: at("despite").checked });
    if (!found.ok) return found.faults.map((f) => fault(f.key ? `${f.key}: ${f.text}` : f.text));
    if (!found.written) return [fault(found.said)];
    const lines = found.refused ? [fault(found.refused)] : [];
    if (to === "folder") return [...lines, el("pre", { text: found.said })];
    const bytes = Uint8Array.from(atob(found.zip), (c) => c.charCodeAt(0));
    const link = el("a", { href: URL.createObjectURL(new Blob([bytes], { type: "application/zip" })), download: found.name, text: `Download ${found.name}` });
    link.click();
    return [...lines, el("p", {}, link)];
  }

  // A tab may only be opened while the click lasts; it waits for its packet.
  async function packet(tab) {
    await page.settled();
    const found = await ask("packet", { text: page.now.text, despite_checks: at("despite").checked });
    if (!found.ok) {
      tab?.close();
      return found.faults.map((f) => fault(f.key ? `${f.key}: ${f.text}` : f.text));
    }
    const where = new URL(found.at, location.href).href;
    if (tab) tab.location = where;
    return [el("p", {}, el("a", { href: where, target: "_blank", text: "The packet, of what is typed now" }))];
  }

  const words = "Writing, and cutting in simulation what is written...";
  at("export").addEventListener("click", () => made(at("export"), words, () => files("folder")));
  at("zip").addEventListener("click", () => made(at("zip"), words, () => files("zip")));
  at("packet").addEventListener("click", () => {
    const tab = open("about:blank");
    made(at("packet"), "Making the packet...", () => packet(tab));
  });
}
