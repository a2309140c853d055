// Rows of plain numbers, sixteen bytes at a time. This is AssemblyScript, TypeScript with the types of WebAssembly; what it is
// compiled to stands in plainRows.wasm.ts, and plainRows.ts is the side of it that the rest of the program sees.

/** Powers of ten, from 1. */
export const TENS: usize = 0;
/**
 * For each column that is wanted: so many unwanted ones stand between it and the one before; of a column of texts the bits
 * turned round. The value of a text is the place where it begins.
 */
export const SKIPS: usize = 1024;
/** The bytes to read; a vector of 16 may reach past them. */
export const ROOM: usize = 1 << 16;
export const ROOM_BYTES: usize = 1 << 20;
/** Where the rows begin that were taken last, 32 bits each; as many as a column holds at most. */
export const STARTS: usize = ROOM + ROOM_BYTES + 64;
const MOST_ROWS: usize = 8192;
/** Values, column by column. */
export const VALUES: usize = STARTS + (MOST_ROWS << 2);

/** Where the first line begins that was not taken. */
export let next: usize = 0;

const NEWLINE: u32 = 10;
const RETURN: u32 = 13;
const BLANK: u32 = 32;
const QUOTE: u32 = 34;
const HASH: u32 = 35;
const PERCENT: u32 = 37;
const PLUS: u32 = 43;
const MINUS: u32 = 45;
const SLASH: u32 = 47;
const ZERO: u32 = 48;
/** As many digits are exact in a double, whatever they are. */
const EXACT_DIGITS: usize = 15;

let delimiter: u32 = 0;
let decimal: u32 = 0;
let lineEnd: u32 = 0;
let wanted: i32 = 0;
/** Delimiters behind the last column that is wanted. */
let behind: i32 = 0;
/** Bytes from a value to that of the next column. */
let stride: usize = 0;

/** Before the first rows: what stands between cells, in numbers and between lines, and which columns are wanted. */
export function plan(
  between: u32,
  point: u32,
  end: u32,
  columns: i32,
  delimitersBehind: i32,
  columnBytes: usize,
): void {
  delimiter = between;
  decimal = point;
  lineEnd = end;
  wanted = columns;
  behind = delimitersBehind;
  stride = columnBytes;
}

/**
 * Takes rows from `from` on, up to `most` and up to the first line that is no row of plain numbers. The last byte before
 * `to` is a line end.
 *
 * @returns how many
 */
export function take(from: usize, to: usize, most: i32): i32 {
  let rows: i32 = 0;
  next = from;
  while (rows < most && next < to) {
    const after = row(next, VALUES + ((<usize>rows) << 3));
    if (after === 0) break;
    store<u32>(STARTS + ((<usize>rows) << 2), <u32>next);
    next = after;
    rows++;
  }
  return rows;
}

/** One row, its values from `into` on; returns where the next line begins, or 0 where it is not a row of plain numbers. */
function row(start: usize, into: usize): usize {
  const first: u32 = load<u8>(start);
  if (first === HASH || first === PERCENT || first === SLASH || first === NEWLINE || first === RETURN || first === 0)
    return 0;
  let at = start;
  let out = into;
  for (let column = 0; column < wanted; column++) {
    let skip = load<i32>(SKIPS + ((<usize>column) << 2));
    const isText = skip < 0;
    if (isText) skip = ~skip;
    if (skip > 0) {
      at = behindDelimiters(at, skip);
      if (at === 0) return 0;
    }
    const ends = column === wanted - 1 && behind === 0;
    if (isText) {
      store<f64>(out, <f64>at);
      if (ends) return behindLine(at, 0);
      at = behindDelimiters(at, 1);
      if (at === 0) return 0;
      out += stride;
      continue;
    }
    at = cell(at, out, ends);
    if (at === 0) return 0;
    if (ends) return at + 1;
    at++;
    out += stride;
  }
  return behindLine(at, behind - 1);
}

/** Which of sixteen bytes are a mark: a bit each. */
function where(bytes: v128, mark: u32): u32 {
  return i8x16.bitmask(i8x16.eq(bytes, i8x16.splat(<u8>mark)));
}

/** The place behind so many delimiters; 0 where the line ends before, or a quote may hide what they mean. */
function behindDelimiters(from: usize, count: i32): usize {
  let at = from;
  let left = count;
  while (true) {
    const bytes = v128.load(at);
    let found = where(bytes, delimiter);
    const stops = where(bytes, lineEnd) | where(bytes, QUOTE);
    if (stops !== 0) found &= (stops & -stops) - 1;
    const many = <i32>popcnt(found);
    if (many >= left) {
      for (; left > 1; left--) found &= found - 1;
      return at + <usize>ctz(found) + 1;
    }
    if (stops !== 0) return 0;
    left -= many;
    at += 16;
  }
}

/** The place behind the end of the line; 0 where it has not exactly so many delimiters, or a quote. */
function behindLine(from: usize, count: i32): usize {
  let at = from;
  let left = count;
  while (true) {
    const bytes = v128.load(at);
    const found = where(bytes, delimiter);
    const ends = where(bytes, lineEnd);
    const quotes = where(bytes, QUOTE);
    if (ends !== 0) {
      const before = (ends & -ends) - 1;
      left -= <i32>popcnt(found & before);
      return left === 0 && (quotes & before) === 0 ? at + <usize>ctz(ends) + 1 : 0;
    }
    if (quotes !== 0) return 0;
    left -= <i32>popcnt(found);
    at += 16;
  }
}

/**
 * One cell, a number or empty, its value to `into`; returns the place of the delimiter or line end behind it, or 0 where it
 * is something else. A mantissa below 2^53 over a power of ten up to 10^22 is correctly rounded.
 */
function cell(start: usize, into: usize, ends: bool): usize {
  let at = start;
  let byte: u32 = load<u8>(at);
  while (byte === BLANK) byte = load<u8>(++at);
  const negative = byte === MINUS;
  if (negative || byte === PLUS) byte = load<u8>(++at);

  let mantissa: u64 = 0;
  let from = at;
  let digit = byte - ZERO;
  while (digit <= 9) {
    mantissa = mantissa * 10 + digit;
    digit = <u32>load<u8>(++at) - ZERO;
  }
  let digits = at - from;
  let fraction: usize = 0;
  if (digit + ZERO === decimal) {
    from = ++at;
    digit = <u32>load<u8>(at) - ZERO;
    while (digit <= 9) {
      mantissa = mantissa * 10 + digit;
      digit = <u32>load<u8>(++at) - ZERO;
    }
    fraction = at - from;
    digits += fraction;
  }

  byte = digit + ZERO;
  while (byte === BLANK) byte = load<u8>(++at);
  const empty = at === start;
  if (ends) {
    if (lineEnd === NEWLINE) while (byte === RETURN) byte = load<u8>(++at);
    if (byte !== lineEnd) return 0;
  } else if (byte !== delimiter) return 0;

  if (digits > 0 && digits <= EXACT_DIGITS) {
    const value = <f64>mantissa / load<f64>(TENS + (fraction << 3));
    store<f64>(into, negative ? -value : value);
  } else if (empty) store<f64>(into, NaN);
  else return 0;
  return at;
}
