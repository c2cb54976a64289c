// What the program answers, on the page: drawings, counts, checks, boards. Texts are put in as texts, never as markup.

export function el(name, { text, ...given } = {}, ...inside) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  for (const [key, value] of Object.entries(given)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value);
  }
  made.append(...inside);
  return made;
}

const at = (id) => document.getElementById(id);

export function faultList(where, head, faults, go) {
  where.hidden = faults.length === 0;
  where.replaceChildren(...(faults.length ? [el("h3", { text: head }), el("ul", {}, ...faults.map(({ key, text }, i) => {
    const line = el("li", { text: key ? `${key}: ${text} ` : text });
    const place = go && go[i];
    if (place) line.append(el("button", { type: "button", text: "Go to the field", onclick: () => place() }));
    return line;
  }))] : []));
}

export function checked(found, make) {
  const verdict = at("verdict");
  verdict.hidden = false;
  verdict.classList.toggle("fails", !found.holds);
  verdict.textContent = found.holds
    ? "Every required check holds. That is no approval: the local code and a licensed professional decide."
    : `FAILS: ${found.failing.join(", ")}. No cut file is written as it stands.`;
  faultList(at("questions"), "To be looked at again", found.questions);
  const mends = at("mends");
  mends.hidden = found.mends.length === 0;
  mends.replaceChildren(...(found.mends.length ? [el("h3", { text: "What would mend the throat" }), el("ul", {}, ...found.mends.map((m) => {
    const line = el("li", { text: `${m.change}, gives ${m.gives}, ${m.enough ? "enough" : "not enough"} ` });
    if (m.changes.length) {
      const held = m.changes.find((c) => c.key === "stair.risers");
      const words = m.changes.map((c) => (c.typed ? `${c.key} = ${c.typed}` : `${c.key} left out`)).join(", ");
      line.append(el("button", { type: "button", text: `Set ${words}`, "data-mend": held ? "held" : "", onclick: () => make(m.changes) }));
    }
    return line;
  }))] : []));
  at("facts").replaceChildren(...found.facts.map(([name, value]) => el("div", {}, el("dt", { text: name }), el("dd", { text: value }))));
  pictures(at("pictures"), found.pictures.slice(0, 1));
  pictures(at("more-pictures"), found.pictures.slice(1));
  at("rules").textContent = `Rules: ${found.rules}`;
  at("checks").replaceChildren(...[...found.checks].sort((a, b) => rank(a) - rank(b)).map(check));
  at("checks-part").hidden = false;
}

const rank = (c) => ["FAILS", "needed", "over advice", "not judged", "ok", "not needed"].indexOf(c.outcome);

function check(c) {
  const numbers = [c.value !== "-" && c.value, c.limit && `limit: ${c.limit}`].filter(Boolean).join("; ");
  return el("div", { class: c.outcome === "FAILS" ? "check fails" : "check" },
    el("p", {}, el("b", { text: c.outcome }), `${c.id}${numbers ? `: ${numbers}` : ""}`),
    ...(c.note ? [el("p", { text: c.note })] : []),
    ...(c.mend ? [el("p", { text: `To mend it: ${c.mend}` })] : []),
    el("p", { class: "source", text: c.source }));
}

export function pictures(where, found) {
  where.replaceChildren(...found.map(({ name, svg }) => {
    const drawing = document.adoptNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement);
    const says = (what) => drawing.querySelector(`:scope > ${what}`)?.textContent || "";
    drawing.setAttribute("aria-label", [says("title"), says("desc")].filter(Boolean).join(". "));
    drawing.setAttribute("role", "img");
    return el("figure", { "data-picture": name }, el("div", { class: "wide" }, drawing), el("figcaption", { text: says("title") }));
  }));
}

export function counts(found, take) {
  at("counts-part").hidden = false;
  const head = el("tr", {}, el("th", { scope: "col", text: "take" }), ...found.head.map((text) => el("th", { scope: "col", text })));
  at("counts").replaceChildren(el("thead", {}, head), el("tbody", {}, ...found.rows.map((row) => {
    const held = found.held === row.risers;
    const button = el("button", { type: "button", text: held ? "Let go" : `Hold ${row.risers}`, "data-count": row.risers,
      "aria-pressed": String(held), onclick: () => take(held ? "" : String(row.risers)) });
    return el("tr", row.chosen ? { class: "chosen" } : {}, el("td", {}, button),
      ...row.cells.map((text, i) => el(i ? "td" : "th", { text: i === 0 && row.chosen ? `${text} chosen` : text, ...(i ? {} : { scope: "row" }) })));
  })));
  at("counts-said").textContent = found.reason ? `Chosen: ${found.rows.find((r) => r.chosen)?.risers} risers, ${found.reason}.` : found.faults.map((f) => f.text).join(" ");
}

export function boards(found) {
  const table = (head, rows) => el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": head[1] },
    el("table", {}, el("thead", {}, el("tr", {}, ...head.map((text) => el("th", { scope: "col", text })))),
      el("tbody", {}, ...rows.map((row) => el("tr", {}, ...row.map((text) => el("td", { text })))))));
  const drawn = el("div");
  pictures(drawn, found.pictures);
  at("boards").replaceChildren(...(found.stopped ? [el("p", { class: "old-mark", text: found.stopped })] : []), table(found.buy_head, found.buy), table(found.board_head, found.boards),
    ...found.left_out.map((text) => el("p", { text })), el("p", { text: found.total }), drawn);
}
