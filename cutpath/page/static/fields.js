// The form: filled from what the file's text holds, its rows as many as there are, faults beside their fields.

import { whole } from "./drawn.js";

const all = (selector, within = document) => [...within.querySelectorAll(selector)];

// What stands in a field and is not in the text yet, or can't be: never written over.
export const typing = new Map();

export function fill(typed, understood) {
  for (const box of all("[data-rows]")) fillRows(box, typed);
  for (const input of all("[data-key]")) {
    const key = input.dataset.key;
    const value = typed.values[key] ?? "";
    // A blank that is typed between two numbers is nothing yet, and is left.
    if (!typing.has(key) && input.value.trim() !== value) put(input, value);
    const shown = input.closest(".field").querySelector(".understood");
    const says = understood[key] ? whole(`${value ? "" : "left out: "}${understood[key]}`) : "";
    if (shown && shown.textContent !== says) shown.textContent = says;
  }
}

function put(input, value) {
  if (input.tagName === "SELECT" && value && ![...input.options].some((o) => o.value === value)) {
    // A word that means the same, or one that is wrong: shown as it stands in the file.
    input.add(new Option(value, value));
  }
  input.value = value;
}

function fillRows(box, typed) {
  const key = box.dataset.rows;
  const count = typed.rows[key] || 0;
  const list = box.querySelector("ol");
  const lost = [...list.children].slice(count).some((item) => item.contains(document.activeElement));
  while (list.children.length > count) list.lastElementChild.remove();
  // Whoever took out the last row is still among the rows.
  if (lost) (list.lastElementChild?.querySelector("input") || box.querySelector(`[data-add="${CSS.escape(key)}"]`)).focus();
  while (list.children.length < count) list.append(row(box, key, list.children.length));
  box.querySelector(".none").hidden = count > 0;
  [...list.children].forEach((item, i) => {
    item.querySelector('[data-row="up"]').disabled = i === 0;
    item.querySelector('[data-row="down"]').disabled = i === count - 1;
    if (key === "site.profile") asTape(item, `${key}[${i}]`, typed.tapes[i]);
  });
}

function row(box, key, number) {
  const made = box.querySelector("template").content.cloneNode(true).firstElementChild;
  made.dataset.item = `${key}[${number}]`;
  made.querySelector(".number").textContent = number + 1;
  for (const part of all("[data-key], [data-id], [data-field], [id], [for]", made)) {
    for (const name of ["data-key", "data-field", "id", "for", "aria-describedby"]) {
      const value = part.getAttribute(name);
      if (value) part.setAttribute(name, value.replaceAll("[]", `[${number}]`));
    }
  }
  for (const button of all("[data-row]", made)) {
    button.setAttribute("aria-label", `${button.dataset.says} ${made.querySelector("legend").textContent.trim()}`);
  }
  return made;
}

function asTape(item, key, tape) {
  const select = item.querySelector('[data-part="tape"]');
  select.value = tape;
  select.id = `f-${key}.tape`;
  item.querySelector('[data-for="tape"]').htmlFor = select.id;
  const fault = item.querySelector(".row-fault");
  fault.id = `f-${key}-fault`;
  for (const [part, name] of [["first", tape], ["down", "down"]]) {
    const field = item.querySelector(`[data-part="${part}"]`);
    const input = field.querySelector("input");
    const full = `${key}.${name}`;
    input.dataset.key = full;
    field.dataset.field = full;
    input.id = `f-${full}`;
    const label = field.querySelector("label");
    label.htmlFor = input.id;
    const says = { out: "Out", along: "Along", down: "Down" }[name];
    if (label.textContent !== says) label.textContent = says;
    input.setAttribute("aria-describedby", fault.id);
  }
}

// Faults beside their fields; gives where each was put, null for none.
export function mark(faults) {
  for (const line of all("#form .fault")) { line.hidden = true; line.textContent = ""; }
  for (const input of all('#form [aria-invalid]')) input.removeAttribute("aria-invalid");
  for (const count of all(".count")) count.textContent = "";
  return faults.map((fault) => {
    const place = placeOf(fault.key);
    if (!place) return null;
    place.line.hidden = false;
    const text = `${place.says}${fault.text}`;
    place.line.textContent = place.line.textContent ? `${place.line.textContent} ${text}` : text;
    if (place.input) place.input.setAttribute("aria-invalid", "true");
    for (let at = place.line; at; at = at.parentElement) {
      if (at.matches("details.section")) at.querySelector(":scope > summary > .count").textContent = " has a fault";
    }
    return place.input || place.line;
  });
}

function placeOf(key) {
  for (let at = key; at; at = above(at)) {
    const field = document.querySelector(`.field[data-field="${CSS.escape(at)}"]`);
    if (field) {
      const input = field.querySelector("[data-key], input");
      // A reading's fields are too narrow for what is wrong with them, which has the whole row.
      if (!field.dataset.part) return { says: "", line: field.querySelector(".fault"), input };
      return { says: `${field.querySelector("label").textContent}: `, line: field.closest("li").querySelector(".row-fault"), input };
    }
    const item = document.querySelector(`[data-item="${CSS.escape(at)}"]`);
    if (item) return { says: "", line: item.querySelector(".row-fault"), input: item.querySelector("input") };
    const line = document.querySelector(`[data-fault="${CSS.escape(at)}"]`);
    if (line) return { says: "", line, input: null };
  }
  return null;
}

function above(key) {
  return key.endsWith("]") ? key.slice(0, key.lastIndexOf("[")) : key.slice(0, Math.max(key.lastIndexOf("."), 0));
}

export function show(place) {
  for (let at = place; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  if (!place.matches("input, select")) place.tabIndex = -1;
  place.focus();
}
