// A scan opens its batch, line, piece or tool, wherever the focus is. A scanner types about 8 ms a key and ends with
// Enter; a person is ten times slower, so the pace tells them apart. Text that a scan typed into a field is removed.
// A gauge types as fast: what does not begin with the letter of our codes is offered to the script of the gauges first.
import {
  isNumberField,
  notify,
  restore,
  show,
  stateOf
} from "./fields.js";

const PACE_MS = 40; // between two keys of one scan
// B417, B417-3, B417-3-7, a life tag, or the address of a followed tool's page
const OURS = /^(b(\d{1,7}(-\d{1,4}){0,2}|[0-9a-z]{6})|https?:\/\/\S+\/t\/[a-z2-7]{26})$/i;
const HALF_MS = 400; // after so long nothing more of a burst comes
const STRANGE_LENGTH = 6; // a burst this long is always a scan
const address = document.body.dataset.open; // only where somebody is signed in
let burst = null,
  waiting = 0;

// A text field may want a strange code for itself: another shop's number, say. A number field never does.
function giveBack(before, text) {
  if (!before || !before.caret || before.element.readOnly || isNumberField(before.element)) return false;
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

// Whether a gauge's script takes it; `half` where no end came.
function offerToGauges({
  text,
  before,
  last
}, half) {
  return !document.dispatchEvent(new CustomEvent("burst", {
    cancelable: true,
    detail: {
      text,
      before,
      half,
      time: last
    }
  }));
}

if (address) document.addEventListener("keydown", (event) => {
  if (event.target.closest && event.target.closest("form.scan")) return; // a badge is read where it is asked for
  if (["Shift", "CapsLock", "Control", "Alt", "AltGraph", "Meta"].includes(event.key)) return;
  clearTimeout(waiting);
  const follows = burst && event.timeStamp - burst.last <= PACE_MS && !event.repeat;
  if (["Enter", "Tab"].includes(event.key) && follows && !OURS.test(burst.text) && offerToGauges(burst, false)) {
    event.preventDefault();
    event.stopPropagation();
    burst = null;
    return;
  }
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
    if (follows && burst.text.length > 2) waiting = setTimeout(offerToGauges, HALF_MS, burst, true);
    if (follows && !(burst.before && burst.before.caret)) event
      .preventDefault(); // in a list it would choose, in a date it would stay
  } else burst = null;
}, true);
