import { Refusal } from './refusal.ts';

/**
 * What is read at most, so that memory is bounded whatever the file. Far above what loggers write: 24 million values are
 * 30 channels at 100 Hz for more than two hours.
 */
export const LIMITS = {
  lineBytes: 1 << 20,
  columns: 10_000,
  values: 24e6,
  /** A quoted cell with line breaks in it ends within this many bytes of the start of its row. */
  quotedBytes: 1 << 16,
  /** Text of a GPX file. */
  gpxBytes: 100e6,
  /** Packed bytes may grow to this size, or by this ratio, whichever is more. */
  unpackedBytes: 256e6,
  unpackedRatio: 100,
};

/** The problem of a log that passes one of the limits. */
export function tooLarge(
  file: string,
  place: { line?: number; byte?: number },
  found: string,
  expected: string,
): Refusal {
  return new Refusal({
    code: 'LOG_LIMIT',
    severity: 'stop',
    place: { file, ...place },
    found,
    expected,
    remedy: 'check that this is the log and not damaged; export fewer channels, or the run in several files',
  });
}
