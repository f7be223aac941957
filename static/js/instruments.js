// Readings that a gauge sends by itself, as a keyboard or over a serial line. They land in the field in use, with the
// gauge named beside it. A reading is known by its form, never by its speed alone: every code of ours begins with a
// letter that no gauge sends. How each gauge sends is in the register, and here on its option in the list of gauges.
import {
  goOn,
  isNumberField,
  show,
  stateOf,
  restore
} from "./fields.js";

const FIGURE = /^([+-]?)(\d*([.,])\d+|\d+)\s*(mm|inch|in|"|um|µm)?$/i;
const TWICE_MS = 1500; // a second press on the gauge's button, not a second tooth
const UNITS = {
  mm: "mm",
  in: "in",
  inch: "in",
  '"': "in",
  um: "um",
  "µm": "um"
};
let last = {
  text: "",
  gauge: "",
  time: -TWICE_MS
};

const listOf = (field) => field.form && field.form.elements[field.name === "diameter" ? "gauge" : "indicator"];
const senders = (list) => [...(list ? list.options : [])].filter((one) => one.dataset.sends);
const anySender = () => document.querySelector("main option[data-sends]");
const sendsOf = (option) => JSON.parse(option.dataset.sends);

// The figure that `text` is to this gauge: {value}, {wrong: words} where it sent another unit, or null.
function read(text, gauge) {
  if (!text.startsWith(gauge.before)) return null;
  const found = FIGURE.exec(text.slice(gauge.before.length).trim());
  if (!found || (found[3] && found[3] !== gauge.mark)) return null;
  const unit = found[4] ? UNITS[found[4].toLowerCase()] : "";
  if (unit && gauge.unit && unit !== gauge.unit)
    return {
      wrong: `${gauge.name} sent ${unit}, and is in the register with ${gauge.unit}. Nothing was entered: ` +
        "set its unit and send again."
    };
  if (!unit && !gauge.unit)
    return {
      wrong: `${gauge.name} sent no unit. Nothing was entered: write its unit in the register of gauges.`
    };
  const sign = found[1] === "-" ? "-" : "";
  return {
    value: `${sign}${found[2].replace(",", ".").replace(/^0+(?=\d)/, "")} ${unit || gauge.unit}`
  };
}

// The gauge that this reading is from, the chosen one first, and what it read.
function match(text, list) {
  const chosen = list && list.selectedOptions[0];
  const options = senders(list).sort((a, b) => (b === chosen) - (a === chosen));
  for (const option of options) {
    const gauge = sendsOf(option),
      reading = read(text, gauge);
    if (reading) return {
      option,
      gauge,
      reading
    };
  }
  return null;
}

function enter(field, list, {
  option,
  gauge,
  reading
}) {
  list.value = option.value;
  list.dispatchEvent(new Event("change", {
    bubbles: true
  }));
  field.value = reading.value;
  for (const type of ["input", "change"]) field.dispatchEvent(new Event(type, {
    bubbles: true
  }));
  tell(field, `from ${gauge.name}`);
  goOn(field);
}

function tell(field, words) {
  let beside = document.getElementById(`${field.id}_from`);
  if (!beside) {
    beside = document.createElement("span");
    beside.id = `${field.id}_from`;
    beside.className = "beside";
    field.after(beside);
  }
  beside.textContent = words;
}

// Take a reading for the field that had the focus; true where it was one, wherever it went.
function take(text, field, putBack, time) {
  const list = field && isNumberField(field) ? listOf(field) : null;
  const found = match(text, list || anySender()?.closest("select"));
  if (!found) return false;
  putBack();
  const again = text === last.text && found.gauge.name === last.gauge && time - last.time < TWICE_MS;
  if (!list) show(`${found.gauge.name} sent ${text}, and no number field is in use. Tap the field, and send it again.`);
  else if (found.reading.wrong) show(found.reading.wrong);
  else if (again) show(`${found.gauge.name} sent ${text} twice. It was entered once.`);
  else {
    last = {
      text,
      gauge: found.gauge.name,
      time
    };
    enter(field, list, found);
  }
  return true;
}

document.addEventListener("burst", (event) => {
  const {
    text,
    before,
    half,
    time
  } = event.detail;
  if (!anySender()) return;
  if (half && before && isNumberField(before.element)) {
    restore(before);
    show(`Only a part of a reading came: “${text}”. Nothing was entered: send it again.`);
  } else if (!half && take(text.trim(), before && before.element, () => restore(before), time)) event
    .preventDefault();
});

// A serial line, where the browser has one and the page is safe enough for it.
async function listen(port, gauge) {
  await port.open({
    baudRate: gauge.serial
  });
  const reader = port.readable.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const {
      value,
      done
    } = await reader.read();
    if (done) break;
    const lines = (rest + value).split(/[\r\n]+/);
    rest = lines.pop();
    const before = stateOf(document.activeElement);
    for (const line of lines)
      if (line.trim()) take(line.trim(), before && before.element, () => {}, performance.now());
  }
}

function offer(option) {
  const gauge = sendsOf(option),
    button = document.createElement("button");
  button.type = "button";
  button.textContent = `Connect ${gauge.name}`;
  button.addEventListener("click", async () => {
    try {
      const port = await navigator.serial.requestPort();
      button.textContent = `${gauge.name} is connected`;
      button.disabled = true;
      await listen(port, gauge);
      throw new Error("the line ended");
    } catch (error) {
      button.textContent = `Connect ${gauge.name}`;
      button.disabled = false;
      show(`${gauge.name} is not connected: ${error.message}. Check its cable, and connect it again.`);
    }
  });
  option.closest(".field").append(button);
}

if ("serial" in navigator)
  for (const option of document.querySelectorAll("main option[data-sends]"))
    if (sendsOf(option).serial) offer(option);
