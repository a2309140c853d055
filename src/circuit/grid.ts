/** Square cells over a plane, each with the numbers of the boxes that touch it. */
export interface Grid {
  /**
   * Writes the numbers of all boxes that share a cell with the square of half width `radius` about (x, y) to `out`,
   * each once and in no order.
   *
   * @returns how many were written
   */
  near(x: number, y: number, radius: number, out: number[]): number;
}

/**
 * Uniform grid over boxes.
 *
 * @param boxes four numbers for each box: least x, least y, greatest x, greatest y
 * @param cell side of a cell
 */
export function boxGrid(boxes: Float64Array, cell: number): Grid {
  const count = boxes.length / 4;
  let left = Number.POSITIVE_INFINITY;
  let bottom = Number.POSITIVE_INFINITY;
  let right = Number.NEGATIVE_INFINITY;
  let top = Number.NEGATIVE_INFINITY;
  for (let b = 0; b < boxes.length; b += 4) {
    left = Math.min(left, boxes[b]!);
    bottom = Math.min(bottom, boxes[b + 1]!);
    right = Math.max(right, boxes[b + 2]!);
    top = Math.max(top, boxes[b + 3]!);
  }
  const columns = Math.floor((right - left) / cell) + 1;
  const rows = Math.floor((top - bottom) / cell) + 1;
  const column = (x: number): number => Math.min(columns - 1, Math.max(0, Math.floor((x - left) / cell)));
  const row = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - bottom) / cell)));

  // Two passes: count what each cell holds, then fill one flat list.
  const start = new Int32Array(columns * rows + 1);
  const each = (visit: (cellNumber: number, box: number) => void): void => {
    for (let box = 0; box < count; box++) {
      const o = 4 * box;
      const lastRow = row(boxes[o + 3]!);
      const lastColumn = column(boxes[o + 2]!);
      for (let r = row(boxes[o + 1]!); r <= lastRow; r++) {
        for (let k = column(boxes[o]!); k <= lastColumn; k++) visit(r * columns + k, box);
      }
    }
  };
  each((cellNumber) => start[cellNumber + 1]!++);
  for (let k = 1; k < start.length; k++) start[k] = start[k]! + start[k - 1]!;
  const list = new Int32Array(start.at(-1)!);
  const filled = start.slice();
  each((cellNumber, box) => {
    list[filled[cellNumber]!++] = box;
  });

  const seen = new Int32Array(count);
  let query = 0;
  return {
    near(x, y, radius, out) {
      if (!(x + radius >= left && x - radius <= right && y + radius >= bottom && y - radius <= top)) return 0;
      query += 1;
      if (query === 0x7fffffff) {
        seen.fill(0);
        query = 1;
      }
      let found = 0;
      const lastRow = row(y + radius);
      const firstColumn = column(x - radius);
      const lastColumn = column(x + radius);
      for (let r = row(y - radius); r <= lastRow; r++) {
        // Cells of a row lie together in the list.
        const end = start[r * columns + lastColumn + 1]!;
        for (let k = start[r * columns + firstColumn]!; k < end; k++) {
          const box = list[k]!;
          if (seen[box] === query) continue;
          seen[box] = query;
          out[found++] = box;
        }
      }
      return found;
    },
  };
}
