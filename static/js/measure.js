// Two ends of a known size and two of the damage are tapped on a photo; a lens shows what lies under the finger. The
// taps stand in number fields, which a keyboard fills as well, and which are all that is sent.
const stage = document.querySelector(".stage"),
  picture = stage.querySelector("img"),
  lens = stage.querySelector(".lens");
const LENS = 168,
  GAP = 48,
  TIMES = 4,
  ORDER = ["scale_1", "scale_2", "damage_1", "damage_2"];
const size = {
  x: Number(stage.dataset.width),
  y: Number(stage.dataset.height)
};
const field = (name, axis) => document.getElementById(`id_${name}_${axis}`);
const chosen = () => document.querySelector("[name=point]:checked").value;
const clamp = (value, most) => Math.min(most, Math.max(0, value));

function put(name, x, y) {
  field(name, "x").value = String(Math.round(clamp(x, size.x) * 10) / 10);
  field(name, "y").value = String(Math.round(clamp(y, size.y) * 10) / 10);
  field(name, "x").dispatchEvent(new Event("input", {
    bubbles: true
  }));
}

function draw() {
  for (const line of ["scale", "damage"]) {
    const drawn = stage.querySelector(`svg .${line}`);
    for (const end of [1, 2])
      for (const axis of ["x", "y"]) {
        const value = field(`${line}_${end}`, axis).value || field(`${line}_1`, axis).value;
        drawn.setAttribute(axis + end, value || "-99");
      }
  }
}

function placeOf(event) {
  const box = picture.getBoundingClientRect();
  return {
    x: (event.clientX - box.left) / box.width * size.x,
    y: (event.clientY - box.top) / box.height * size.y,
    left: event.clientX - box.left,
    top: event.clientY - box.top,
    box
  };
}

// The lens stands beside the finger where the photo has room, else above or below it: one that stands out of a narrow
// screen widens the page under the finger.
function placeLens(left, top, box) {
  const beside = left > box.width / 2 ? left - LENS - GAP : left + GAP;
  if (beside >= 0 && beside + LENS <= box.width) return [beside, clamp(top - LENS / 2, box.height - LENS)];
  return [clamp(left - LENS / 2, box.width - LENS), top > box.height / 2 ? top - LENS - GAP : top + GAP];
}

function look(place) {
  const {
    left,
    top,
    box
  } = place;
  const [across, down] = placeLens(left, top, box);
  lens.hidden = false;
  lens.style.left = `${across}px`;
  lens.style.top = `${down}px`;
  lens.style.backgroundImage = `url("${picture.src}")`;
  lens.style.backgroundSize = `${box.width * TIMES}px ${box.height * TIMES}px`;
  lens.style.backgroundPosition = `${LENS / 2 - left * TIMES}px ${LENS / 2 - top * TIMES}px`;
}

let pressed = false;
stage.addEventListener("pointerdown", (event) => {
  event.preventDefault();
  pressed = true;
  stage.setPointerCapture(event.pointerId);
  follow(event);
});
stage.addEventListener("pointermove", (event) => pressed && follow(event));
stage.addEventListener("pointercancel", stop);
stage.addEventListener("pointerup", () => {
  stop();
  const next = ORDER.find((name) => !field(name, "x").value);
  if (next) document.querySelector(`[name=point][value=${next}]`).checked = true;
});

function follow(event) {
  const place = placeOf(event);
  look(place);
  put(chosen(), place.x, place.y);
}

function stop() {
  pressed = false;
  lens.hidden = true;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest && event.target.closest("[data-move]");
  if (!button || !field(chosen(), "x").value) return;
  const [across, down] = button.dataset.move.split(" ").map(Number);
  put(chosen(), Number(field(chosen(), "x").value) + across, Number(field(chosen(), "y").value) + down);
});
document.addEventListener("input", draw);
draw();
