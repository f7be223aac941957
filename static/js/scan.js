// A scan opens its batch, line, piece or tool, wherever the focus is. A scanner types about 8 ms a key and ends with
// Enter; a person is ten times slower, so the pace tells them apart. Text that a scan typed into a field is removed.
const PACE_MS = 40; // between two keys of one scan
const OURS = /^#?(\d{1,7}(-\d{1,4}){1,2}|\d{2,7}|[0-9a-z]{6})$/i; // 417, 417-3, 417-3-7, or a life tag
const STRANGE_LENGTH = 6; // a burst this long is always a scan
const NUMBERS = "input[inputmode], input[data-keys]";
const address = document.body.dataset.open; // only where somebody is signed in
let burst = null;

// The state of a field, so that it can be restored exactly, with its caret.
function stateOf(element) {
  if (!element || element === document.body) return null;
  if (element instanceof HTMLSelectElement) return {
    element,
    index: element.selectedIndex
  };
  if (!(element instanceof HTMLInputElement || element instanceof HTMLTextAreaElement)) return null;
  if (["checkbox", "radio"].includes(element.type)) return {
    element,
    checked: element.checked
  };
  let caret = null;
  try {
    const {
      selectionStart: start,
      selectionEnd: end,
      selectionDirection: direction
    } = element;
    caret = start === null ? null : [start, end, direction];
  } catch {
    /* it has none */
  }
  return {
    element,
    value: element.value,
    caret
  };
}

function restore(before) {
  if (!before) return;
  const {
    element
  } = before;
  if ("index" in before) {
    if (element.selectedIndex !== before.index) {
      element.selectedIndex = before.index;
      notify(element);
    }
    return;
  }
  if ("checked" in before) {
    element.checked = before.checked;
    return;
  }
  const was = element.value;
  element.value = before.value; // even where it is equal: a half-typed date is dropped by it
  if (before.caret) element.setSelectionRange(...before.caret);
  if (was !== before.value) notify(element);
}

function notify(element) {
  element.dispatchEvent(new Event("input", {
    bubbles: true
  }));
  element.dispatchEvent(new Event("change", {
    bubbles: true
  }));
}

function show(text) {
  let notice = document.getElementById("scanned");
  if (!notice) {
    notice = document.createElement("p");
    notice.id = "scanned";
    notice.className = "notice wrong scanned";
    notice.setAttribute("role", "alert");
    document.querySelector("main").prepend(notice);
  }
  notice.textContent = text;
}

// A text field may want a strange code for itself: another shop's number, say. A number field never does.
function giveBack(before, text) {
  if (!before || !before.caret || before.element.readOnly || before.element.matches(NUMBERS)) return false;
  if (before.element.type === "search") {
    before.element.value = text;
    before.element.form.requestSubmit();
    return true;
  }
  before.element.setRangeText(text, before.caret[0], before.caret[1], "end");
  notify(before.element);
  return true;
}

async function open({
  text,
  before
}) {
  if (!OURS.test(text)) {
    if (!giveBack(before, text)) show(
      `The scan “${text.slice(0, 40)}” is not a number of this shop. ` +
      "Scan a label of a batch, line, piece or tool.");
    return;
  }
  try {
    const answer = await fetch(`${address}?${new URLSearchParams({ code: text })}`, {
      headers: {
        Accept: "application/json"
      }
    });
    if (!answer.ok) throw new Error(answer.status);
    const {
      to
    } = await answer.json();
    if (to) {
      if (document.activeElement) document.activeElement.blur();
      location.assign(to);
    } else if (!giveBack(before, text)) show(`The scan “${text}” matches nothing here. Check the label.`);
  } catch {
    show(`There is no network, so the scan “${text}” cannot be opened. Scan it again later.`);
  }
}

if (address) document.addEventListener("keydown", (event) => {
  if (event.target.closest && event.target.closest("form.scan")) return; // a badge is read where it is asked for
  if (["Shift", "CapsLock", "Control", "Alt", "AltGraph", "Meta"].includes(event.key)) return;
  const follows = burst && event.timeStamp - burst.last <= PACE_MS && !event.repeat;
  if (event.key === "Enter" && follows && (OURS.test(burst.text) || burst.text.length >= STRANGE_LENGTH)) {
    event.preventDefault();
    event.stopPropagation();
    const scan = burst;
    burst = null;
    restore(scan.before);
    open(scan);
  } else if (event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) {
    if (!follows) burst = {
      text: "",
      before: stateOf(document.activeElement)
    };
    burst.text += event.key;
    burst.last = event.timeStamp;
    if (follows && !(burst.before && burst.before.caret)) event
      .preventDefault(); // in a list it would choose, in a date it would stay
  } else burst = null;
}, true);
