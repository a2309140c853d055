/** A label on one line: where it would like its middle, and how wide it is, in pixels. */
export interface Wish {
  readonly at: number;
  readonly width: number;
}

/**
 * Moves labels along a line so that none overlaps the next, in the order given, with the least sum of squared moves
 * (isotonic regression by pooling adjacent violators), then back inside the limits.
 *
 * @param wishes in rising order of `at`
 * @param low left limit of the line
 * @param high right limit; labels that do not fit between the limits overrun it
 * @returns the middles
 */
export function spread(wishes: readonly Wish[], low: number, high: number): number[] {
  // Taking off the room that the labels before need turns "no overlap" into "not falling".
  const room: number[] = [];
  wishes.forEach((wish, i) => {
    room.push(i === 0 ? 0 : room[i - 1]! + (wishes[i - 1]!.width + wish.width) / 2);
  });
  const pools: { sum: number; size: number }[] = [];
  wishes.forEach((wish, i) => {
    pools.push({ sum: wish.at - room[i]!, size: 1 });
    while (pools.length > 1) {
      const b = pools.at(-1)!;
      const a = pools.at(-2)!;
      if (a.sum / a.size <= b.sum / b.size) break;
      pools.splice(-2, 2, { sum: a.sum + b.sum, size: a.size + b.size });
    }
  });
  const first = wishes[0]?.width ?? 0;
  const last = wishes.length - 1;
  const floor = low + first / 2;
  const ceiling = last < 0 ? high : Math.max(floor, high - wishes[last]!.width / 2 - room[last]!);
  const level = pools.flatMap(({ sum, size }) => Array<number>(size).fill(sum / size));
  return level.map((value, i) => Math.min(Math.max(value, floor), ceiling) + room[i]!);
}
