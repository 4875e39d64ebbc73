// Move through a sheet of cells by the arrow keys, as through any table of numbers. Enter goes
// down; Tab goes on as everywhere. Without this file every cell is an ordinary field.
document.querySelectorAll("[data-sheet]").forEach((sheet) => {
  const cellsOf = (row) => [...row.querySelectorAll("input:not([type=hidden])")];
  const steps = { ArrowUp: -1, ArrowDown: 1, Enter: 1 };

  const beside = (cell, key) => {
    const row = cell.closest("tr");
    const column = cellsOf(row).indexOf(cell);
    if (key in steps) {
      const rows = [...sheet.querySelectorAll("tbody tr")];
      const next = rows[rows.indexOf(row) + steps[key]];
      return next && cellsOf(next)[column];
    }
    const atStart = cell.selectionEnd === 0;
    const atEnd = cell.selectionStart === cell.value.length;
    if (key === "ArrowLeft" && atStart) return cellsOf(row)[column - 1];
    if (key === "ArrowRight" && atEnd) return cellsOf(row)[column + 1];
    return null;
  };

  sheet.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !event.target.closest("tbody")) return;
    const next = beside(event.target, event.key);
    if (next) next.focus();
    // Enter in a cell goes down and never sends half a sheet.
    if (next || event.key === "Enter") event.preventDefault();
  });

  sheet.addEventListener("focusin", (event) => event.target.select?.());
});
