// The stair's drawing, whose readings and foot can be dragged. Each drag types into its field, as a hand would.

import { svgOf } from "./drawn.js";

const SVG = "http://www.w3.org/2000/svg";
const INCH = 25.4;
// What a drag lands on: eighths as on a tape, or half a centimetre.
const STEP = { in: INCH / 8, mm: 5 };
// A drag along one of the two ways moves nothing in the other, screen pixels.
const STRAIGHT = 10;
// A handle's radius, screen pixels: what is seen, and what a finger in a glove meets.
const SEEN = 7;
const HIT = 22;

export function draggable(where, { tapes, change }) {
  let shown = null;
  let drag = null;
  let svg = null;
  const figure = document.createElement("figure");
  const holder = document.createElement("div");
  const over = document.createElementNS(SVG, "svg");
  const caption = document.createElement("figcaption");
  const hint = document.createElement("span");
  hint.className = "on-screen";
  holder.className = "wide under-grips";
  over.setAttribute("class", "grips");
  over.setAttribute("aria-hidden", "true");
  holder.append(over);
  figure.append(holder, caption);

  function show(picture, grips) {
    if (shown && shown.svg === picture.svg && !drag) return;
    const made = svgOf(picture.svg);
    if (svg) svg.replaceWith(made.drawing);
    else holder.prepend(made.drawing);
    svg = made.drawing;
    figure.dataset.picture = picture.name;
    hint.textContent = ` Drag ${grips.landing ? "the landing" : "a reading"} or the foot: its field follows.`;
    caption.replaceChildren(`${made.title}.`, hint);
    if (!figure.isConnected) where.replaceChildren(figure);
    shown = { svg: picture.svg, grips, box: viewBox(svg) };
    if (drag) svg.setAttribute("viewBox", asSeen(drag.from, shown).join(" "));
    else place();
  }

  // The part of a new drawing that puts the stair where the old one has it, so that nothing jumps under the finger.
  function asSeen(old, fresh) {
    const [s0, x0, y0] = old.grips.view;
    const [s1, x1, y1] = fresh.grips.view;
    const [left, top, wide, high] = old.box;
    const k = s1 / s0;
    return [x1 + k * (left - x0), y1 + k * (top - y0), wide * k, high * k];
  }

  function place() {
    const { grips, box } = shown;
    over.setAttribute("viewBox", box.join(" "));
    const pixel = box[2] / (over.getBoundingClientRect().width || box[2]);
    const [scale, x, y] = grips.view;
    const handles = grips.readings.map((each, i) => ({ ...each, what: "reading", says: `reading ${i + 1}` }));
    if (grips.landing) handles.push({ ...grips.landing, what: "landing", says: "landing" });
    handles.push({ ...grips.foot, what: "foot", says: "foot" });
    over.replaceChildren(...handles.map((each) => {
      const group = document.createElementNS(SVG, "g");
      group.setAttribute("class", `grip ${each.what}`);
      group.dataset.grip = each.key;
      group.setAttribute("transform", `translate(${x + scale * each.out} ${y + scale * each.down})`);
      for (const [kind, radius] of [["hit", HIT], ["seen", SEEN]]) {
        const circle = document.createElementNS(SVG, "circle");
        circle.setAttribute("class", kind);
        circle.setAttribute("r", radius * pixel);
        group.append(circle);
      }
      group.addEventListener("pointerdown", (event) => start(event, group, each, pixel));
      return group;
    }));
  }

  function start(event, group, each, pixel) {
    if (event.button || drag) return;
    event.preventDefault();
    group.setPointerCapture(event.pointerId);
    const words = document.createElementNS(SVG, "text");
    words.setAttribute("class", "reads");
    words.setAttribute("font-size", 16 * pixel);
    group.append(words);
    group.classList.add("held");
    drag = { from: shown, group, each, pixel, words, at: [event.clientX, event.clientY], typed: "", id: `drag ${performance.now()}` };
    group.addEventListener("pointermove", move);
    group.addEventListener("pointerup", end);
    group.addEventListener("pointercancel", end);
    group.addEventListener("lostpointercapture", end);
  }

  function move(event) {
    const { from, each, group, pixel, words, at, id } = drag;
    const [scale, x, y] = from.grips.view;
    const step = STEP[from.grips.unit];
    const moved = [event.clientX - at[0], event.clientY - at[1]];
    const straight = moved.map((by) => Math.abs(by) < STRAIGHT);
    const ways = { reading: [true, true], landing: [false, true], foot: [true, false] }[each.what];
    const [out, down] = [each.out, each.down].map((was, i) => {
      const other = straight[1 - i] ? false : straight[i];
      return !ways[i] || other || !moved[i] ? was : Math.round((was + moved[i] * pixel / scale) / step) * step;
    });
    const to = within(each, out, down, from.grips, step);
    group.setAttribute("transform", `translate(${x + scale * to.out} ${y + scale * to.down})`);
    words.textContent = to.says;
    const far = to.out * scale + x > from.box[0] + from.box[2] / 2;
    words.setAttribute("text-anchor", far ? "end" : "start");
    words.setAttribute("x", (far ? -1 : 1) * 16 * pixel);
    words.setAttribute("y", -14 * pixel);
    const typed = JSON.stringify(to.changes);
    if (typed === drag.typed || !to.changes.length) return;
    drag.typed = typed;
    change(to.changes, id);
  }

  // What a place comes to, and what is typed for it.
  function within(each, out, down, grips, step) {
    const write = (mm) => tape(mm, grips.unit);
    const set = (key, mm) => ({ do: "set", key, typed: write(mm) });
    if (each.what === "foot") {
      const run = Math.max(Math.round((each.run + (out - each.out) / each.runs) / (step / 2)) * (step / 2), 100);
      const changes = Math.abs(run - each.run) < 1e-6 && !drag.typed ? [] : [set("stair.unit_run", run)];
      return { out: each.out + (run - each.run) * each.runs, down, says: `run ${write(run)}`, changes };
    }
    if (each.what === "landing") {
      const changes = Math.abs(down - each.down) < 1e-6 && !drag.typed ? [] : [set("site.total_rise", down)];
      return { out, down, says: `total rise ${write(down)}`, changes };
    }
    const i = grips.readings.findIndex((one) => one.key === each.key);
    const before = grips.readings[i - 1]?.out ?? -step;
    const after = grips.readings[i + 1]?.out ?? Infinity;
    const clear = Math.min(Math.max(out, before + step), Math.max(after - step, before + step));
    const still = (a, b) => Math.abs(a - b) < 1e-6;
    const to = { out: still(out, each.out) ? out : clear, down };
    to.says = `${write(to.out)} out, ${write(down)} down`;
    if (still(to.out, each.out) && still(down, each.down) && !drag.typed) return { ...to, changes: [] };
    const taut = tapes()[i] === "along";
    const along = Math.round(Math.hypot(to.out, down) / step) * step;
    to.changes = [
      ...(taut ? [set(`${each.key}.along`, along)] : still(to.out, each.out) && !drag.typed ? [] : [set(`${each.key}.out`, to.out)]),
      ...(still(down, each.down) && !drag.typed ? [] : [set(`${each.key}.down`, down)]),
    ];
    return to;
  }

  function end() {
    if (!drag) return;
    const { group } = drag;
    group.removeEventListener("pointermove", move);
    for (const kind of ["pointerup", "pointercancel", "lostpointercapture"]) group.removeEventListener(kind, end);
    drag = null;
    svg.setAttribute("viewBox", shown.box.join(" "));
    place();
  }

  new ResizeObserver(() => { if (shown && !drag) place(); }).observe(holder);
  return show;
}

function viewBox(svg) {
  return svg.getAttribute("viewBox").split(" ").map(Number);
}

// A length as it is typed: inches in fractions, as on a tape; millimetres as they are.
export function tape(mm, unit) {
  if (unit === "mm") return String(Math.round(mm * 10) / 10);
  const sixteenths = Math.round(mm / INCH * 16);
  const sign = sixteenths < 0 ? "-" : "";
  let [top, below] = [Math.abs(sixteenths) % 16, 16];
  const whole = Math.floor(Math.abs(sixteenths) / 16);
  if (!top) return `${sign}${whole}`;
  while (top % 2 === 0) { top /= 2; below /= 2; }
  return whole ? `${sign}${whole} ${top}/${below}` : `${sign}${top}/${below}`;
}
