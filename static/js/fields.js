// What the scripts for scans and for gauges share: the state of a field, so that it can be restored exactly.
const NUMBERS = "input[inputmode], input[data-keys]";

export const isNumberField = (element) => element instanceof HTMLInputElement && element.matches(NUMBERS);

export function stateOf(element) {
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

export function restore(before) {
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

export function notify(element) {
  for (const type of ["input", "change"]) element.dispatchEvent(new Event(type, {
    bubbles: true
  }));
}

// A notice at the head of the page, read aloud where a screen reader runs.
export function show(text) {
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

// The next number field of the form that can be seen gets the focus, its text chosen.
export function goOn(field) {
  const all = [...field.form.elements].filter((one) => isNumberField(one) && one.checkVisibility() && !one.disabled);
  const after = all[all.indexOf(field) + 1];
  if (after) {
    after.focus();
    after.select();
  }
}
