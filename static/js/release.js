// The button that releases says how many pieces it releases, while they are ticked and unticked.
const button = document.querySelector("[data-releases]");
const asOpened = button && button.textContent;

function sayCount() {
  const boxes = [...document.querySelectorAll("input[type=checkbox][name=pieces]")];
  const ticked = boxes.filter((box) => box.checked).length;
  const back = [...document.querySelectorAll("input[name^=back_]")].filter((field) => /^back_\d+$/.test(field.name) &&
    field.value.trim()).length;
  if (back) button.textContent = `Save: release ${Math.max(0, ticked - back)}, send ${back} back`;
  else if (ticked < boxes.length) button.textContent = `Save, and release the ${ticked} ticked`;
  else button.textContent = asOpened;
}

if (button && button.form) button.form.addEventListener("input", sayCount);
