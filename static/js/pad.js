// A number pad for gloves: it opens for number fields on a touch screen, and by a button on a desk.
// It stays beside the page where there is room, and is a sheet from below elsewhere. Pages work without this script.
const NUMBERS =
  "input:is([inputmode=decimal], [inputmode=numeric], [data-keys]):not([type=password], [autocomplete=one-time-code])";
const UNIT = /\s*(inches|inch|in|"|mm|thou|tenths?|um|µm|microns?)\s*$/i;
const KEYS = [
  ["in", "in"],
  ["thou", "thou"],
  ["tenths", "tenths"],
  ["mm", "mm"],
  ["um", "µm"],
  ["7", "7"],
  ["8", "8"],
  ["9", "9"],
  ["back", "⌫", "Delete the last character"],
  ["4", "4"],
  ["5", "5"],
  ["6", "6"],
  ["clear", "clear"],
  ["1", "1"],
  ["2", "2"],
  ["3", "3"],
  ["sign", "−", "Minus, or a dash as in 1-1/4"],
  ["point", ".", "Point"],
  ["0", "0"],
  ["slash", "/", "Slash of a fraction"],
  ["board", "letters", "Letters: the keyboard of the tablet"],
  ["hide", "hide", "Hide the number pad"],
  ["next", "next", "Next field"],
];
const UNITS = {
  in: "in",
  thou: "thou",
  tenths: "tenths",
  mm: "mm",
  um: "um"
};
const root = document.body;
const touch = matchMedia("(pointer: coarse)").matches;
const roomy = matchMedia("(min-width: 900px) and (min-height: 600px)");
const beside = () => roomy.matches && (asked || document.querySelector("main form[data-pad]") !== null);
let field = null,
  asked = false,
  letters = null,
  changed = false,
  closing = 0,
  down = false;

const pad = document.createElement("div");
pad.className = "pad";
pad.setAttribute("role", "group");
pad.setAttribute("aria-label", "Number pad");
const display = document.createElement("p"),
  hand = key("hand", "", "");
display.className = "display";
display.setAttribute("aria-hidden", "true"); // the field's own label says the same
pad.append(display, hand, ...KEYS.map(([name, face, words]) => key(name, face, words || "")));
root.append(pad);
turn(stored("hand") || root.dataset.hand || "right");

function key(name, face, words) {
  const button = document.createElement("button");
  button.type = "button";
  button.tabIndex = -1; // a keyboard has these keys already
  button.className = "key key-" + name;
  button.dataset.key = name;
  button.textContent = face;
  if (words) button.setAttribute("aria-label", words);
  return button;
}

function stored(name) {
  try {
    return localStorage.getItem("pad-" + name);
  } catch {
    return null;
  }
}

function turn(side) {
  root.classList.toggle("pad-left", side === "left");
  hand.textContent = side === "left" ? "pad right" : "pad left";
  hand.setAttribute("aria-label", `Number ${hand.textContent}`);
}

// The system's keyboard stays closed while our pad is open for a field.
function adopt(input) {
  if (!input.dataset.keys) input.dataset.keys = input.inputMode;
  if (letters !== input) input.inputMode = touch || asked ? "none" : input.dataset.keys;
}

const isNumber = (one) => one instanceof HTMLInputElement && one.matches(NUMBERS);
const shown = (one) => one.checkVisibility() && !one.disabled && !one.readOnly;

function fields() {
  const home = (field && field.isConnected && field.form) || document.querySelector("main form[data-pad]");
  return home ? [...home.elements].filter((one) => isNumber(one) && shown(one)) : [];
}

// Where the first key goes while no field is chosen; the pad names it.
const first = () => fields().find((one) => !one.value) || fields()[0] || null;

function open(input) {
  clearTimeout(closing);
  if (input !== field) settle();
  field = input;
  adopt(input);
  root.classList.add("pad-on");
  update();
  document.documentElement.style.setProperty("--pad", beside() ? "0px" : `${pad.offsetHeight}px`);
  if (!beside()) input.closest(".field, td, label")?.scrollIntoView({
    block: "nearest"
  });
}

// Nothing moves under a finger: the page closes the pad only after the tap that left the field.
function closeSoon() {
  clearTimeout(closing);
  closing = setTimeout(() => (down ? closeSoon() : close()), 150);
}

function close() {
  clearTimeout(closing);
  settle();
  if (beside() && (touch || asked)) return update();
  root.classList.remove("pad-on");
  document.documentElement.style.removeProperty("--pad");
}

// A field that the pad has filled fires "change" when it is left, as a typed one does.
function settle() {
  if (field && changed) field.dispatchEvent(new Event("change", {
    bubbles: true
  }));
  changed = false;
}

// Show the name of the field, its value, and how the server reads it.
function update() {
  const here = field && field.isConnected ? field : null,
    length = !here || here.classList.contains("length");
  const named = here || first(),
    name = named && named.labels[0] ? named.labels[0].firstChild.textContent.trim() : "";
  const echo = here && document.getElementById(here.id + "_echo");
  const choices = echo ? [...echo.querySelectorAll("[data-choice]")].map((one) => one.dataset.choice.split(" ").pop()
    .replace("µm", "um")) : [];
  display.replaceChildren(named ? name : "Tap a number field");
  if (here) {
    const strong = document.createElement("strong"),
      reading = document.createElement("span");
    strong.textContent = here.value || "\u00a0";
    reading.textContent = choices.length ? "which unit?" : echo ? echo.textContent.trim() : "";
    display.append(strong, reading);
  }
  for (const unit of Object.keys(UNITS)) {
    const button = pad.querySelector(".key-" + unit);
    button.disabled = !length;
    button.classList.toggle("asked", choices.includes(unit) || (unit === "tenths" && choices.includes("tenth")));
    button.setAttribute("aria-pressed", String(Boolean(here) && unitOf(here.value) === unit));
  }
  pad.querySelector(".key-sign").textContent = here && "signed" in here.dataset ? "±" : "−";
}

function unitOf(text) {
  const match = UNIT.exec(text);
  if (!match) return "";
  const word = match[1].toLowerCase();
  return word.startsWith("in") || word === '"' ? "in" : word.startsWith("tenth") ? "tenths" : word === "mm" || word ===
    "thou" ? word : "um";
}

function write(value, caret) {
  field.value = value;
  field.setSelectionRange(caret, caret);
  changed = true;
  field.dispatchEvent(new Event("input", {
    bubbles: true
  }));
  update();
}

// Where the next sign goes: at the caret, but before a unit that stands at the end.
function place() {
  const text = field.value,
    end = text.length - (UNIT.exec(text) || [""])[0].length;
  const from = field.selectionStart ?? text.length,
    to = field.selectionEnd ?? text.length;
  return from === 0 && to === text.length && text ? [0, to] : [Math.min(from, end), Math.min(to, end)];
}

function insert(sign) {
  const [from, to] = place();
  write(field.value.slice(0, from) + sign + field.value.slice(to), from + sign.length);
}

function back() {
  const [from, to] = place(), text = field.value;
  if (from !== to) write(text.slice(0, from) + text.slice(to), from);
  else if (field.selectionStart > from) write(text.replace(UNIT, ""), from); // the unit goes as one
  else if (from) write(text.slice(0, from - 1) + text.slice(from), from - 1);
}

function turnSign() {
  const text = field.value,
    bare = text.replace(/^[-−]/, "");
  if (!("signed" in field.dataset)) return insert("-");
  const signed = bare === text ? "-" + bare : bare;
  write(signed, signed.length);
}

function putUnit(unit) {
  const bare = field.value.replace(UNIT, "").trimEnd();
  if (bare) write(`${bare} ${unit}`, bare.length + unit.length + 1);
}

function next() {
  const all = fields(),
    after = all[all.indexOf(field) + 1];
  if (after) {
    after.focus();
    after.select();
    return;
  }
  const button = field.form && field.form.querySelector(".bar .next, .actions .next");
  if (button) button.focus();
}

function showLetters() {
  letters = field;
  field.inputMode = "text";
  root.classList.remove("pad-on");
  field.blur();
  letters.focus();
}

function press(name) {
  clearTimeout(closing);
  if (name === "hand") {
    const side = root.classList.contains("pad-left") ? "right" : "left";
    try {
      localStorage.setItem("pad-hand", side);
    } catch {
      /* private browsing: it lasts until the page is left */
    }
    return turn(side);
  }
  if (!field || !field.isConnected) field = first();
  if (!field) return;
  if (document.activeElement !== field) field.focus();
  const act = {
    back,
    next,
    sign: turnSign,
    clear: () => write("", 0),
    board: showLetters,
    point: () => insert("."),
    slash: () => insert("/"),
    hide: () => {
      field.blur();
      close();
    }
  } [name];
  if (act) act();
  else if (name in UNITS) putUnit(UNITS[name]);
  else insert(name);
}

// Keys act on touch, and the focus stays in the field. The click that follows a touch, however late, belongs to its
// key: it is recognised by its pointer and ignored even where the pad has closed meanwhile, or a slow tablet would
// write a digit twice. A click without a touch comes from assistive software, not from a finger.
const answered = new Set();
pad.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  const button = event.target.closest(".key:not(:disabled)");
  if (button && event.button === 0) {
    answered.add(event.pointerId);
    press(button.dataset.key);
  }
});
pad.addEventListener("mousedown", (event) => event.preventDefault());
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => {
  down = false;
}, true);
addEventListener("click", (event) => {
  const hasPointer = event.pointerId !== undefined; // older browsers do not name the pointer of a click
  if (hasPointer ? answered.delete(event.pointerId) : event.detail > 0 && answered.size) {
    if (!hasPointer) answered.clear();
    event.preventDefault();
    event.stopPropagation();
    return;
  }
  const button = pad.contains(event.target) && event.target.closest(".key:not(:disabled)");
  if (button) press(button.dataset.key);
}, true);

document.addEventListener("pointerdown", (event) => {
  down = true;
  answered.delete(event.pointerId);
  if (isNumber(event.target)) adopt(event.target);
}, true);
document.addEventListener("focusin", (event) => {
  const input = event.target;
  if (pad.contains(input)) return;
  if (letters && letters !== input) {
    const was = letters;
    letters = null;
    adopt(was);
  }
  if (isNumber(input) && (touch || asked) && letters !== input) open(input);
  else if (root.classList.contains("pad-on")) {
    settle();
    field = null;
    closeSoon();
  }
});
document.addEventListener("focusout", (event) => {
  if (event.target === field) closeSoon();
});
document.addEventListener("input", (event) => {
  if (event.target === field) update();
});
new MutationObserver((changes) => {
  if (field && changes.some((change) => change.target.id === field.id + "_echo")) update();
}).observe(document.querySelector("main"), {
  childList: true,
  subtree: true
});

// On a desk a button in the form's bar opens the pad.
function offer() {
  const bar = document.querySelector("main form[data-pad] .bar, main form[data-pad] .actions");
  if (!bar) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "padask";
  button.textContent = "Number pad";
  button.setAttribute("aria-pressed", "false");
  button.addEventListener("click", () => {
    asked = !asked;
    button.setAttribute("aria-pressed", String(asked));
    const first = field && field.isConnected ? field : fields()[0];
    if (asked && first) first.focus();
    else {
      fields().forEach(adopt);
      close();
      root.classList.remove("pad-on");
    }
  });
  bar.insertBefore(button, bar.lastElementChild);
}

if (touch) {
  document.querySelectorAll(NUMBERS).forEach(adopt);
  if (beside()) {
    root.classList.add("pad-on");
    update();
  }
} else offer();
roomy.addEventListener("change", () => {
  if (field && document.activeElement === field) open(field);
  else close();
});
if (isNumber(document.activeElement)) document.activeElement.dispatchEvent(new Event("focusin", {
  bubbles: true
}));
