/** Where the cells of a pairing stand: beside or below one another, as they come out larger. */
const GAP_PX = 4;
const LEAST_PX = 260;
const BELOW_PX = 430; // of the window, for what stands around the pictures

/**
 * Place the cells and say how large they are: their size to that of the first picture.
 * @param {HTMLElement} stage @param {HTMLElement[]} cells in order
 * @param {{width: number, height: number}} first @param {boolean} over
 */
export function arrange(stage, cells, first, over) {
  const room = { width: stage.clientWidth, height: Math.max(LEAST_PX, window.innerHeight - BELOW_PX) };
  const count = over ? 1 : cells.length;
  const gaps = GAP_PX * (count - 1);
  const row = Math.min((room.width - gaps) / count / first.width, room.height / first.height);
  const column = Math.min(room.width / first.width, (room.height * 1.5 - gaps) / count / first.height);
  // Upright ones stay side by side: to compare, both must be seen at once
  const isRow = over || first.height > first.width || row >= column * 0.9;
  const share = isRow ? row : column;
  const [width, height] = [first.width * share, first.height * share];
  const whole = { width: isRow ? width * count + gaps : width, height: isRow ? height : height * count + gaps };
  stage.toggleAttribute("data-over", over);
  stage.style.blockSize = `${whole.height}px`;
  cells.forEach((cell, k) => {
    const place = over ? 0 : k;
    const left = (room.width - whole.width) / 2 + (isRow ? place * (width + GAP_PX) : 0);
    const top = isRow ? 0 : place * (height + GAP_PX);
    Object.assign(cell.style, { inlineSize: `${width}px`, blockSize: `${height}px`, translate: `${left}px ${top}px`, zIndex: String(k) });
    cell.style.setProperty("--line", over ? String(k) : "0"); // laid over one another, captions are lines
  });
  return share;
}
