// A scan opens what it names, wherever the focus is. A scanner types its code some 8 ms a key and ends with Enter;
// a hand is ten times slower, so that the pace alone tells them apart. What a scan put into a field is taken out again.
const PACE_MS = 40; // between two keys of one scan
const OURS = /^#?(\d{1,7}(-\d{1,4}){1,2}|\d{2,7}|[0-9a-z]{6})$/i; // 417, 417-3, 417-3-7, or a life tag
const STRANGE_LENGTH = 6; // a burst this long is a scan, whatever it names
const NUMBERS = "input[inputmode], input[data-keys]";
const address = document.body.dataset.open; // only where somebody is signed in
let burst = null;

// A field as it stands, so that it can be put back to the sign, with its caret.
function photograph(at) {
  if (!at || at === document.body) return null;
  if (at instanceof HTMLSelectElement) return {
    at,
    index: at.selectedIndex
  };
  if (!(at instanceof HTMLInputElement || at instanceof HTMLTextAreaElement)) return null;
  if (["checkbox", "radio"].includes(at.type)) return {
    at,
    checked: at.checked
  };
  let caret = null;
  try {
    caret = at.selectionStart === null ? null : [at.selectionStart, at.selectionEnd, at.selectionDirection];
  } catch {
    /* it has none */
  }
  return {
    at,
    value: at.value,
    caret
  };
}

function restore(seen) {
  if (!seen) return;
  const {
    at
  } = seen;
  if ("index" in seen) {
    if (at.selectedIndex !== seen.index) {
      at.selectedIndex = seen.index;
      tell(at);
    }
    return;
  }
  if ("checked" in seen) {
    at.checked = seen.checked;
    return;
  }
  const was = at.value;
  at.value = seen.value; // even where it is equal: a half-typed date is dropped by it
  if (seen.caret) at.setSelectionRange(...seen.caret);
  if (was !== seen.value) tell(at);
}

function tell(at) {
  at.dispatchEvent(new Event("input", {
    bubbles: true
  }));
  at.dispatchEvent(new Event("change", {
    bubbles: true
  }));
}

function say(words) {
  let notice = document.getElementById("scanned");
  if (!notice) {
    notice = document.createElement("p");
    notice.id = "scanned";
    notice.className = "notice wrong scanned";
    notice.setAttribute("role", "alert");
    document.querySelector("main").prepend(notice);
  }
  notice.textContent = words;
}

// A text field may want a strange code for itself: another shop's number, say. A number field never does.
function giveBack(seen, text) {
  if (!seen || !seen.caret || seen.at.readOnly || seen.at.matches(NUMBERS)) return false;
  if (seen.at.type === "search") {
    seen.at.value = text;
    seen.at.form.requestSubmit();
    return true;
  }
  seen.at.setRangeText(text, seen.caret[0], seen.caret[1], "end");
  tell(seen.at);
  return true;
}

async function open({
  text,
  seen
}) {
  if (!OURS.test(text)) {
    if (!giveBack(seen, text)) say(`“${text.slice(0, 40)}” was scanned: that is no number of ours.`);
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
    } else if (!giveBack(seen, text)) say(`“${text}” was scanned: nothing here has that number.`);
  } catch {
    say(`“${text}” was scanned, but the network is away. Scan it again when it is back.`);
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
    restore(scan.seen);
    open(scan);
  } else if (event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) {
    if (!follows) burst = {
      text: "",
      seen: photograph(document.activeElement)
    };
    burst.text += event.key;
    burst.last = event.timeStamp;
    if (follows && !(burst.seen && burst.seen.caret)) event
      .preventDefault(); // in a list it would choose, in a date it would stay
  } else burst = null;
}, true);
