
"use strict";
(() => {
  const SVG = "http" + "://www.w3.org/2000/svg";
  const measures = JSON.parse(document.getElementById("measures").textContent);
  const LAYERS = [
    ["cut", "Cut lines", '.shapes [stroke="#0b4a94"]'],
    ["board", "Board and work", '.shapes .work, .shapes .kept, .shapes > [stroke="none"]'],
    ["thin", "Thin lines", '.shapes > :not(.work):not(.kept):not([stroke="none"]):not([stroke="#0b4a94"])'],
    ["dimensions", "Dimension lines", ".dimensions"],
    ["words", "Words and figures", ".words"],
  ];
  const MOST = 60;
  const SNAP = 48;

  const make = (tag, props = {}, ...inside) => {
    const made = document.createElement(tag);
    for (const [key, value] of Object.entries(props)) {
      if (key in made) made[key] = value;
      else made.setAttribute(key, value);
    }
    made.append(...inside);
    return made;
  };
  const plain = (value, places) => String(Number((Math.round(value * 10 ** places) / 10 ** places + 0).toFixed(places)));

  // The nearest sixteenth, halves upward, as everywhere in the packet.
  const feetInches = (value) => {
    const count = Math.floor(Math.round(Math.abs(value) * 16e9) / 1e9 + 0.5);
    const feet = Math.floor(count / 192);
    const whole = Math.floor((count % 192) / 16);
    let [over, under] = [count % 16, 16];
    while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
    // As builders write them: 7'-0 1/2".
    const inches = over ? (whole || feet ? `${whole} ` : "") + `${over}/${under}` : `${whole}`;
    return ((feet ? `${feet}'-` : "") + inches + '"').replaceAll(" ", "\u00a0");
  };
  const shown = (value, unit) => {
    if (unit === "mm") return `${plain(value, 2)} mm`;
    const exact = Math.abs(value * 16 - Math.round(value * 16)) < 1e-6;
    return `${plain(value, 4)} in (${exact ? "" : "~"}${feetInches(value)})`;
  };

  for (const figure of document.querySelectorAll("figure.drawing")) drawing(figure);

  function drawing(figure) {
    const picture = figure.querySelector(".picture");
    const svg = picture.querySelector("svg");
    const title = figure.querySelector("h3").textContent;
    const whole = svg.getAttribute("viewBox").split(" ").map(Number);
    let view = [...whole];
    const watchers = [];

    const show = (next) => {
      const scale = Math.min(whole[2], Math.max(whole[2] / MOST, next[2])) / whole[2];
      const [w, h] = [whole[2] * scale, whole[3] * scale];
      view = [
        Math.min(Math.max(next[0], whole[0]), whole[0] + whole[2] - w),
        Math.min(Math.max(next[1], whole[1]), whole[1] + whole[3] - h),
        w,
        h,
      ];
      svg.setAttribute("viewBox", view.map((v) => plain(v, 3)).join(" "));
      picture.classList.toggle("zoomed", scale < 0.999);
      for (const watch of watchers) watch();
    };
    const place = (x, y) => {
      const box = svg.getBoundingClientRect();
      return [view[0] + ((x - box.left) / box.width) * view[2], view[1] + ((y - box.top) / box.height) * view[3]];
    };
    // A place of the picture keeps its place on the screen.
    const zoom = (factor, [x, y] = [view[0] + view[2] / 2, view[1] + view[3] / 2]) => {
      const real = Math.min(whole[2], Math.max(whole[2] / MOST, view[2] / factor)) / view[2];
      show([x - (x - view[0]) * real, y - (y - view[1]) * real, view[2] * real, view[3] * real]);
    };
    const move = (x, y) => show([view[0] + x * view[2], view[1] + y * view[3], view[2], view[3]]);
    const all = () => show(whole);

    const button = (label, words, act) => {
      const made = make("button", { type: "button", title: words, "aria-label": `${words}: ${title}` }, label);
      made.addEventListener("click", act);
      return made;
    };
    const buttons = make(
      "div",
      { role: "group", "aria-label": `View of ${title}` },
      button("+", "Zoom in", () => zoom(1.5)),
      button("−", "Zoom out", () => zoom(1 / 1.5)),
      button("Whole", "Whole drawing", all),
      button("←", "Move left", () => move(-0.2, 0)),
      button("→", "Move right", () => move(0.2, 0)),
      button("↑", "Move up", () => move(0, -0.2)),
      button("↓", "Move down", () => move(0, 0.2)),
    );
    const tools = make("div", { className: "tools" }, buttons, layers());
    const points = measures[figure.dataset.drawing];
    const pick = points ? measuring(points) : null;
    picture.before(tools);

    picture.tabIndex = 0;
    picture.setAttribute("role", "group");
    picture.setAttribute(
      "aria-label",
      `${title}, drawing. Plus and minus zoom, arrow keys move what is zoomed, 0 shows the whole.`,
    );
    picture.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const zoomed = picture.classList.contains("zoomed");
      const steps = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] };
      if (event.key === "+" || event.key === "=") zoom(1.25);
      else if (event.key === "-") zoom(1 / 1.25);
      else if (event.key === "0") all();
      else if (zoomed && event.key in steps) move(...steps[event.key]);
      else return;
      event.preventDefault();
    });
    // The wheel scrolls the page until the drawing was clicked or reached by Tab; a trackpad's pinch zooms always.
    picture.addEventListener(
      "wheel",
      (event) => {
        if (!event.ctrlKey && document.activeElement !== picture) return;
        event.preventDefault();
        zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0025)), place(event.clientX, event.clientY));
      },
      { passive: false },
    );
    picture.addEventListener("touchstart", (e) => e.touches.length > 1 && e.preventDefault(), { passive: false });
    picture.addEventListener("touchmove", (e) => e.touches.length > 1 && e.preventDefault(), { passive: false });

    const held = new Map();
    let travelled = 0;
    const middle = () => {
      const all = [...held.values()];
      return [0, 1].map((i) => all.reduce((sum, p) => sum + p[i], 0) / all.length);
    };
    const spread = () => {
      const [a, b] = [...held.values()];
      return Math.hypot(a[0] - b[0], a[1] - b[1]);
    };
    picture.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      if (!held.size) travelled = 0;
      held.set(event.pointerId, [event.clientX, event.clientY]);
      picture.classList.add("held");
    });
    picture.addEventListener("pointermove", (event) => {
      if (!held.has(event.pointerId)) {
        if (pick) pick.hover(event.clientX, event.clientY);
        return;
      }
      const before = middle();
      const wide = held.size === 2 ? spread() : 0;
      held.set(event.pointerId, [event.clientX, event.clientY]);
      const after = middle();
      const box = svg.getBoundingClientRect();
      travelled += Math.hypot(after[0] - before[0], after[1] - before[1]) + (wide ? Math.abs(spread() - wide) : 0);
      if (travelled > 4 && !picture.hasPointerCapture(event.pointerId)) picture.setPointerCapture(event.pointerId);
      if (wide) zoom(spread() / wide, place(...after));
      move((before[0] - after[0]) / box.width, (before[1] - after[1]) / box.height);
    });
    const release = (event) => {
      held.delete(event.pointerId);
      if (!held.size) picture.classList.remove("held");
    };
    picture.addEventListener("pointerup", release);
    picture.addEventListener("pointercancel", release);
    // A finger is captured by what it touched first; that being handed over to the picture is no release.
    picture.addEventListener("lostpointercapture", (event) => event.target === picture && release(event));
    picture.addEventListener("pointerleave", (event) => {
      if (!picture.hasPointerCapture(event.pointerId)) release(event);
    });
    picture.addEventListener("click", (event) => {
      if (travelled <= 4 && pick) pick.take(event.clientX, event.clientY);
    });

    // Paper gets the whole drawing.
    let kept = null;
    addEventListener("beforeprint", () => {
      kept = view;
      all();
    });
    addEventListener("afterprint", () => {
      if (kept) show(kept);
      kept = null;
    });

    function layers() {
      const box = make("div", { className: "layers" });
      for (const [key, words, selector] of LAYERS) {
        if (!svg.querySelector(selector)) continue;
        const input = make("input", { type: "checkbox", checked: true });
        input.addEventListener("change", () => picture.classList.toggle(`no-${key}`, !input.checked));
        box.append(make("label", {}, input, words));
      }
      const set = make("fieldset", {}, make("legend", {}, `Shown of: ${title}`), box);
      return make("details", {}, make("summary", {}, "Layers"), set);
    }

    function measuring({ directions, points: all, unit }) {
      const lists = ["From", "To"].map(() => make("select", {}, make("option", { value: "" }, "choose a point")));
      for (const list of lists) {
        all.forEach((point, i) => list.append(make("option", { value: String(i) }, point[4])));
        list.addEventListener("change", draw);
      }
      const found = make("p", { className: "found", role: "status" });
      const clear = make("button", { type: "button" }, "Clear");
      clear.addEventListener("click", () => {
        for (const list of lists) list.value = "";
        draw();
      });
      const ends = make(
        "div",
        { className: "ends" },
        make("label", {}, "From", lists[0]),
        make("label", {}, "To", lists[1]),
        make("div", {}, clear),
      );
      const hint = make("p", { className: "hint" }, "Choose two points here, or click them on the drawing.");
      const set = make("fieldset", {}, make("legend", {}, `Measure on: ${title}`), hint, ends, found);
      const panel = make("details", {}, make("summary", {}, "Measure"), set);
      panel.addEventListener("toggle", () => {
        picture.classList.toggle("picking", panel.open);
        draw();
      });
      tools.append(panel);
      const group = document.createElementNS(SVG, "g");
      group.setAttribute("class", "measured");
      svg.append(group);
      let near = null;

      const shape = (tag, kind, values) => {
        const made = document.createElementNS(SVG, tag);
        if (kind) made.setAttribute("class", kind);
        for (const [key, value] of Object.entries(values)) made.setAttribute(key, value);
        group.append(made);
      };
      const pixel = () => view[2] / svg.getBoundingClientRect().width;
      function draw() {
        group.replaceChildren();
        found.textContent = "";
        if (!panel.open) return;
        const [a, b] = lists.map((list) => (list.value === "" ? null : all[Number(list.value)]));
        if (a && b) {
          const line = { x1: a[0], y1: a[1], x2: b[0], y2: b[1] };
          shape("line", "halo", line);
          shape("line", "", line);
          const [dx, dy] = [Math.abs(b[2] - a[2]), Math.abs(b[3] - a[3])];
          found.textContent =
            `${a[4]} to ${b[4]}: ${shown(Math.hypot(dx, dy), unit)}. ` +
            `${directions[0]} ${shown(dx, unit)}. ${directions[1]} ${shown(dy, unit)}.`;
        } else if (a || b) found.textContent = `${(a || b)[4]}: now the other point.`;
        for (const end of [a, b]) if (end) shape("circle", "", { cx: end[0], cy: end[1], r: 6 * pixel() });
        if (near !== null) shape("circle", "near", { cx: all[near][0], cy: all[near][1], r: 11 * pixel() });
      }
      watchers.push(draw);

      const nearest = (x, y) => {
        const [px, py] = place(x, y);
        let [best, least] = [null, SNAP * pixel()];
        all.forEach((point, i) => {
          const off = Math.hypot(point[0] - px, point[1] - py);
          if (off < least) [best, least] = [i, off];
        });
        return best;
      };
      return {
        hover(x, y) {
          if (!panel.open) return;
          const next = nearest(x, y);
          if (next === near) return;
          near = next;
          draw();
        },
        take(x, y) {
          const best = panel.open ? nearest(x, y) : null;
          if (best === null) return;
          const [from, to] = lists;
          if (from.value !== "" && to.value === "") to.value = String(best);
          else {
            from.value = String(best);
            to.value = "";
          }
          near = null;
          draw();
        },
      };
    }
  }

  // What needs no sideways scrolling needs no stop for the Tab key.
  const stops = () => {
    for (const box of document.querySelectorAll(".wide")) {
      if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
      else box.removeAttribute("tabindex");
    }
  };
  stops();
  addEventListener("resize", stops);
})();
