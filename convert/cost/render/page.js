// Sorts a table by the column whose heading is pressed. Without it the page is whole.
for (const head of document.querySelectorAll("table.sort thead th")) {
  const button = document.createElement("button");
  button.type = "button";
  button.append(...head.childNodes);
  head.append(button);
  button.addEventListener("click", () => {
    const body = head.closest("table").tBodies[0];
    const up = head.getAttribute("aria-sort") !== "ascending";
    const value = row => { const c = row.cells[head.cellIndex]; return c.dataset.v ?? c.textContent; };
    const rows = [...body.rows].sort((a, b) => {
      const x = value(a), y = value(b), n = x - y;
      return (Number.isNaN(n) ? x.localeCompare(y) : n) * (up ? 1 : -1);
    });
    for (const other of head.parentNode.cells) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", up ? "ascending" : "descending");
    body.append(...rows);
  });
}
