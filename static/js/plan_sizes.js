// The button that plans the ticked sizes says which they are and how many pieces come clean at them.
function sayTicked() {
  const buttons = document.querySelectorAll("[data-plans]");
  const ticked = [...document.querySelectorAll("input[name=sizes]:checked")];
  const pieces = new Set(ticked.flatMap((box) => box.dataset.pieces.split(" ").filter(Boolean)));
  const count = pieces.size === 1 ? "1 piece" : `${pieces.size} pieces`;
  const sizes = ticked.map((box) => box.dataset.size).join(" and ");
  for (const button of buttons) button.textContent = ticked.length ?
    `Plan ${ticked.length === 1 ? "one size" : "the sizes"}: ${sizes}, ${count}` : "Plan the ticked sizes";
}

// The button that plans an option says for how many ticked pieces it does.
function sayCount() {
  const count = document.querySelectorAll("input[name=pieces]:checked").length;
  for (const button of document.querySelectorAll("[data-counts]"))
    button.textContent = `${button.dataset.counts} ${count === 1 ? "1 piece" : `${count} pieces`}`;
}

document.addEventListener("input", (event) => {
  if (!event.target.matches) return;
  if (event.target.matches("input[name=sizes]")) sayTicked();
  if (event.target.matches("input[name=pieces]")) sayCount();
});
for (const swapped of ["htmx:after:swap", "htmx:afterSwap"]) document.addEventListener(swapped, sayTicked);
