// What the program answers, on the page: drawings, counts, checks, boards. Texts are put in as texts, never as markup.

export function el(name, { text, ...given } = {}, ...inside) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = whole(text);
  for (const [key, value] of Object.entries(given)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value);
  }
  made.append(...inside);
  return made;
}

// A number and its fraction stay on one line.
export const whole = (text) => String(text).replace(/(\d) (\d+\/\d)/g, "$1\u00a0$2");

const at = (id) => document.getElementById(id);

// What was made of the same answer before stays as it is; and whoever was on a button finds it again.
const before = new Map();
function anew(where, found, make) {
  const said = JSON.stringify(found);
  if (before.get(where) === said) return;
  before.set(where, said);
  const focus = where.contains(document.activeElement) ? document.activeElement.dataset.stays ?? "" : null;
  where.replaceChildren(...make());
  if (focus === null) return;
  const same = focus && where.querySelector(`[data-stays="${CSS.escape(focus)}"]`);
  (same || at("answer")).focus({ preventScroll: true });
}

export function forget(where) {
  before.delete(where);
}

export function faultList(where, head, faults, go) {
  where.hidden = faults.length === 0;
  where.replaceChildren(...(faults.length ? [el("h3", { text: head }), el("ul", {}, ...faults.map(({ key, text }, i) => {
    const line = el("li", { text: key ? `${key}: ${text} ` : text });
    const place = go && go[i];
    if (place) line.append(el("button", { type: "button", text: "Go to the field", onclick: () => place() }));
    return line;
  }))] : []));
}

export function checked(found, draw) {
  const verdict = at("verdict");
  failing = found.failing;
  const said = found.holds
    ? "Every required check holds. That is no approval: the local code and a licensed professional decide."
    : `FAILS: ${found.failing.join(", ")}. No cut file is written as it stands.`;
  verdict.hidden = false;
  verdict.classList.toggle("fails", !found.holds);
  if (verdict.textContent !== said) verdict.textContent = said;
  faultList(at("questions"), "To be looked at again", found.questions);
  anew(at("facts"), found.facts, () => found.facts.map(([name, value]) => el("div", {}, el("dt", { text: name }), el("dd", { text: value }))));
  draw(found.picture, found.grips);
  at("rules").textContent = `Rules: ${found.rules}`;
  anew(at("checks"), found.checks, () => [...found.checks].sort((a, b) => rank(a) - rank(b)).map(check));
  at("checks-part").hidden = false;
}

// What comes after: the other drawings, and the changes that would mend failing checks, each of which that the job's
// keys can make is a button that makes it.
export function more(found, make) {
  at("more-pictures").classList.remove("late");
  pictures(at("more-pictures"), found.pictures);
  mends(found.mends, make);
}

let failing = [];
export function mends(found, make) {
  const required = found.filter((m) => failing.includes(m.check));
  const advised = found.filter((m) => !failing.includes(m.check));
  for (const [where, head, these] of [["mends", "What would mend it", required], ["advised", "What would meet the advice", advised]]) {
    at(where).hidden = these.length === 0;
    anew(at(where), these, () => (these.length ? [el("h3", { text: head }), ...mendGroups(these, make)] : []));
  }
}

function mendGroups(found, make) {
  return [...new Set(found.map((m) => m.check))].flatMap((name) => [
    el("h4", { text: name }),
    el("ul", {}, ...found.filter((m) => m.check === name).map((m) => {
      const fails = m.fails.length ? `, but then fails ${m.fails.join(", ")}` : "";
      const line = el("li", { text: `${m.change}, gives ${m.gives}, ${m.enough ? "enough" : "not enough"}${fails} ` });
      if (m.changes.length) {
        const words = m.changes.filter((c) => c.do === "set").map((c) => (c.typed ? `${c.key} = ${c.typed}` : `${c.key} left out`)).join(", ");
        line.append(el("button", { type: "button", text: `Set ${words}`, "data-stays": words, onclick: () => make(m.changes) }));
      }
      return line;
    })),
  ]);
}

const rank = (c) => ["FAILS", "needed", "over advice", "not judged", "ok", "not needed"].indexOf(c.outcome);

function check(c) {
  const numbers = [c.value !== "-" && c.value, c.limit && `limit: ${c.limit}`].filter(Boolean).join("; ");
  return el("div", { class: c.outcome === "FAILS" ? "check fails" : "check" },
    el("p", {}, el("b", { text: c.outcome }), whole(`${c.id}${numbers ? `: ${numbers}` : ""}`)),
    ...(c.note ? [el("p", { text: c.note })] : []),
    ...(c.mend ? [el("p", { text: `To mend it: ${c.mend}` })] : []),
    el("p", { class: "source", text: c.source }));
}

export function svgOf(text) {
  const drawing = document.adoptNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement);
  const says = (what) => drawing.querySelector(`:scope > ${what}`)?.textContent || "";
  drawing.setAttribute("aria-label", [says("title"), says("desc")].filter(Boolean).join(". "));
  drawing.setAttribute("role", "img");
  return { drawing, title: says("title") };
}

// Drawings under each other, each made anew only where it is another one.
export function pictures(where, found) {
  const old = new Map([...where.children].map((figure) => [figure.dataset.picture, figure]));
  where.replaceChildren(...found.map(({ name, svg }) => {
    const figure = old.get(name) || figureOf(name);
    if (figure.drawnFrom === svg) return figure;
    figure.drawnFrom = svg;
    const { drawing, title } = svgOf(svg);
    figure.querySelector(".wide").replaceChildren(drawing);
    figure.querySelector("figcaption span").textContent = title;
    return figure;
  }));
}

function figureOf(name) {
  return el("figure", { "data-picture": name }, el("div", { class: "wide" }), el("figcaption", {}, el("span")));
}

// A drawing is as wide as its place, or so large that its smallest words are read; then it scrolls sideways.
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-larger]");
  if (!button) return;
  const larger = button.getAttribute("aria-pressed") !== "true";
  button.setAttribute("aria-pressed", String(larger));
  document.body.classList.toggle("larger", larger);
});

export function counts(found, take) {
  at("counts-part").hidden = false;
  anew(at("counts"), [found.rows, found.held], () => {
    const head = el("tr", {}, el("th", { scope: "col", text: "choose" }), ...found.head.map((text) => el("th", { scope: "col", text })));
    return [el("thead", {}, head), el("tbody", {}, ...found.rows.map((row) => {
      const held = found.held === row.risers;
      const button = el("button", { type: "button", text: held ? "Let go" : `Hold ${row.risers}`, "data-count": row.risers, "data-stays": row.risers,
        "aria-pressed": String(held), onclick: () => take(held ? "" : String(row.risers)) });
      return el("tr", row.chosen ? { class: "chosen" } : {}, el("td", {}, button),
        ...row.cells.map((text, i) => el(i ? "td" : "th", { text: i === 0 && row.chosen ? `${text} chosen` : text, ...(i ? {} : { scope: "row" }) })));
    }))];
  });
  at("counts-said").textContent = found.reason ? `Chosen: ${found.rows.find((r) => r.chosen)?.risers} risers, ${found.reason}.` : found.faults.map((f) => f.text).join(" ");
}

export function boards(found) {
  const table = (head, rows) => el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": head[1] },
    el("table", {}, el("thead", {}, el("tr", {}, ...head.map((text) => el("th", { scope: "col", text })))),
      el("tbody", {}, ...rows.map((row) => el("tr", {}, ...row.map((text) => el("td", { text })))))));
  const { pictures: drawn, ...said } = found;
  delete said.checked;
  delete said.more;
  anew(at("boards"), said, () => [...(found.stopped ? [el("p", { class: "old-mark", text: found.stopped })] : []), table(found.buy_head, found.buy),
    table(found.board_head, found.boards), ...found.left_out.map((text) => el("p", { text })), el("p", { text: found.total }),
    ...found.lists.flatMap((list) => [table(list.head, list.rows), ...list.lines.map((text) => el("p", { text }))])]);
  pictures(at("board-pictures"), drawn);
}
